// SPDX-License-Identifier: Apache-2.0
#include "tags/step_fit.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>
#include <numbers>

namespace pivotfix {
namespace {

constexpr double least_blur_px = 0.3;
constexpr double most_blur_px = 6.0;

double normal_density(double z) {
  return std::exp(-0.5 * z * z) * std::numbers::inv_sqrtpi / std::numbers::sqrt2;
}

double normal_share_below(double z) {
  return 0.5 * std::erfc(-z / std::numbers::sqrt2);
}

// Unknowns of a bin in this order: across, black, contrast; then the blur, which all bins share.
using Normal4 = Eigen::Matrix4d;

struct BinEquations {
  Normal4 normal = Normal4::Zero();
  Eigen::Vector4d right = Eigen::Vector4d::Zero();
};

BinEquations linearise(const EdgeBin& bin, const Step& step, double blur_px) {
  BinEquations equations;
  for (const EdgePixel& pixel : bin.pixels) {
    const double z = (pixel.across_px - step.across_px) / blur_px;
    // The white cells inside the border begin one border width further in.
    const double z_inner = -(pixel.across_px + bin.inner_width_px) / blur_px;
    const double white = normal_share_below(z) + bin.inner_white * normal_share_below(z_inner);
    const double slope = normal_density(z);
    const double inner_slope = bin.inner_white * normal_density(z_inner);
    Eigen::Vector4d row;
    row << -step.contrast * slope / blur_px, 1.0, white,
        -step.contrast * (slope * z + inner_slope * z_inner) / blur_px;
    equations.normal += row * row.transpose();
    equations.right += row * (pixel.grey - step.black - step.contrast * white);
  }
  // Keeps a bin without an edge from running away; far too weak to move one with an edge.
  const double stiffness = 1e-3 * static_cast<double>(bin.pixels.size());
  equations.normal(0, 0) += stiffness * 100.0;
  equations.normal(1, 1) += stiffness * 1e-3;
  equations.normal(2, 2) += stiffness * 1e-3;
  return equations;
}

Step first_guess(const EdgeBin& bin) {
  double inside = 0.0;
  double outside = 0.0;
  double inside_count = 0.0;
  double outside_count = 0.0;
  for (const EdgePixel& pixel : bin.pixels) {
    if (pixel.across_px < 0.0) {
      inside += pixel.grey;
      ++inside_count;
    } else {
      outside += pixel.grey;
      ++outside_count;
    }
  }
  Step step;
  if (inside_count == 0.0 || outside_count == 0.0) return step;
  step.black = inside / inside_count;
  step.contrast = outside / outside_count - step.black;
  step.usable = step.contrast > 4.0;
  return step;
}

}  // namespace

EdgeSteps fit_steps(const std::vector<EdgeBin>& bins, double start_blur_px) {
  constexpr int passes = 4;
  EdgeSteps edge;
  edge.blur_px = start_blur_px;
  for (const EdgeBin& bin : bins) edge.steps.push_back(first_guess(bin));
  std::vector<BinEquations> equations(bins.size());
  for (int pass = 0; pass < passes; ++pass) {
    // The bins' own unknowns are eliminated (Schur complement); what is left is one equation for the blur.
    double blur_normal = 1e-9;
    double blur_right = 0.0;
    for (std::size_t i = 0; i < bins.size(); ++i) {
      if (!edge.steps[i].usable) continue;
      equations[i] = linearise(bins[i], edge.steps[i], edge.blur_px);
      const Eigen::LDLT<Eigen::Matrix3d> own(equations[i].normal.topLeftCorner<3, 3>());
      const Eigen::Vector3d coupling = equations[i].normal.topRightCorner<3, 1>();
      // Each bin has the same say, whatever its contrast.
      const double weight = 1.0 / (edge.steps[i].contrast * edge.steps[i].contrast);
      blur_normal += weight * (equations[i].normal(3, 3) - coupling.dot(own.solve(coupling)));
      blur_right += weight * (equations[i].right(3) - coupling.dot(own.solve(equations[i].right.head<3>())));
    }
    const double most_change = 0.3 * edge.blur_px;
    const double change = std::clamp(blur_right / blur_normal, -most_change, most_change);
    const double blur_px = std::clamp(edge.blur_px + change, least_blur_px, most_blur_px);
    const double taken = blur_px - edge.blur_px;
    for (std::size_t i = 0; i < bins.size(); ++i) {
      Step& step = edge.steps[i];
      if (!step.usable) continue;
      const Eigen::Vector3d right =
          equations[i].right.head<3>() - equations[i].normal.topRightCorner<3, 1>() * taken;
      const Eigen::Vector3d better = equations[i].normal.topLeftCorner<3, 3>().ldlt().solve(right);
      step.across_px += std::clamp(better(0), -1.0, 1.0);
      step.black += better(1);
      step.contrast += better(2);
      step.usable = step.contrast > 4.0 && std::abs(step.across_px) < 4.0 && std::isfinite(step.across_px);
    }
    edge.blur_px = blur_px;
  }
  return edge;
}

}  // namespace pivotfix
