// SPDX-License-Identifier: Apache-2.0
#include "tags/step_fit.h"

#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <algorithm>
#include <cmath>

#include "tags/median.h"
#include "tags/step_profile.h"

namespace pivotfix {
namespace {

constexpr double least_contrast = 0.003;  // of full white, in light
constexpr double least_blur_px = 0.25;
constexpr double most_blur_px = 6.0;

// Unknowns of a bin in this order: across, black, contrast; then the blur, which all bins share.
struct BinEquations {
  Eigen::Matrix4d normal = Eigen::Matrix4d::Zero();  // upper triangle
  Eigen::Vector4d right = Eigen::Vector4d::Zero();

  // The bin's own unknowns are own - by_blur * (change of the blur).
  Eigen::Vector3d own = Eigen::Vector3d::Zero();
  Eigen::Vector3d by_blur = Eigen::Vector3d::Zero();

  void solve() {
    const Eigen::Matrix3d upper = normal.topLeftCorner<3, 3>();
    const Eigen::Matrix3d inverse = Eigen::Matrix3d(upper.selfadjointView<Eigen::Upper>()).inverse();
    own = inverse * right.head<3>();
    by_blur = inverse * normal.topRightCorner<3, 1>();
  }
};

// Black and contrast along the edge, linear.
struct EdgeLevels {
  Eigen::Vector2d black = Eigen::Vector2d::Zero();
  Eigen::Vector2d contrast = Eigen::Vector2d::Zero();
  double weight = 0.0;  // about as many pixels' worth

  double black_at(double along_px) const { return black(0) + black(1) * along_px; }
  double contrast_at(double along_px) const { return contrast(0) + contrast(1) * along_px; }
};

// What a bin's own pixels say of black and contrast is softened by what the whole edge says: paper is evenly
// lit over a few pixels, and a small tag has few pixels a bin.
void add_edge_levels(const EdgeBin& bin, const Step& step, const EdgeLevels& levels,
                     BinEquations& equations) {
  const double black_off = levels.black_at(bin.along_px) - step.black;
  const double contrast_off = levels.contrast_at(bin.along_px) - step.contrast;
  equations.normal(1, 1) += levels.weight;
  equations.right(1) += levels.weight * black_off;
  equations.normal(2, 2) += levels.weight;
  equations.right(2) += levels.weight * contrast_off;
}

// Sums over the pixels of a bin of products of what the unknowns' rows are made of: one each for the place
// and the blur (both without the contrast), white, and one.
struct PixelSums {
  double place_place = 0.0, place_one = 0.0, place_white = 0.0, place_blur = 0.0, place_miss = 0.0;
  double one_one = 0.0, one_white = 0.0, one_blur = 0.0, one_miss = 0.0;
  double white_white = 0.0, white_blur = 0.0, white_miss = 0.0;
  double blur_blur = 0.0, blur_miss = 0.0;

  void add(double place, double white, double blur, double weight, double miss) {
    const double weighted_place = weight * place;
    const double weighted_white = weight * white;
    const double weighted_blur = weight * blur;
    place_place += weighted_place * place;
    place_one += weighted_place;
    place_white += weighted_place * white;
    place_blur += weighted_place * blur;
    place_miss += weighted_place * miss;
    one_one += weight;
    one_white += weighted_white;
    one_blur += weighted_blur;
    one_miss += weight * miss;
    white_white += weighted_white * white;
    white_blur += weighted_white * blur;
    white_miss += weighted_white * miss;
    blur_blur += weighted_blur * blur;
    blur_miss += weighted_blur * miss;
  }
  BinEquations equations(double contrast) const {
    BinEquations result;
    Eigen::Matrix4d& n = result.normal;
    n(0, 0) = contrast * contrast * place_place;
    n(0, 1) = -contrast * place_one;
    n(0, 2) = -contrast * place_white;
    n(0, 3) = -contrast * contrast * place_blur;
    n(1, 1) = one_one;
    n(1, 2) = one_white;
    n(1, 3) = contrast * one_blur;
    n(2, 2) = white_white;
    n(2, 3) = contrast * white_blur;
    n(3, 3) = contrast * contrast * blur_blur;
    result.right << -contrast * place_miss, one_miss, white_miss, contrast * blur_miss;
    return result;
  }
};

BinEquations linearise(const EdgeStrip& strip, const EdgeBin& bin, const Step& step,
                       const StepProfile& profile, const EdgeLevels& levels) {
  PixelSums sums;
  for (const EdgePixel& pixel : strip.pixels_of(bin)) {
    const PixelStep edge = profile.at(pixel.across_px - step.across_px);
    double white = edge.share;
    double by_blur = edge.by_blur;
    // The white cells inside the border begin one border width further in.
    const double beyond_inner_px = -pixel.across_px - bin.inner_width_px;
    if (bin.inner_white > 0.01 && profile.reaches(beyond_inner_px)) {
      const PixelStep inner = profile.at(beyond_inner_px);
      white += bin.inner_white * inner.share;
      by_blur += bin.inner_white * inner.by_blur;
    }
    // Noise is about even in coded values, so it grows with the light: weights in the manner of counts.
    constexpr double floor_light = 0.2;
    const double expected = step.black + step.contrast * white;
    const double weight = 1.0 / (std::max(expected, 0.0) + floor_light);
    sums.add(edge.by_distance, white, by_blur, weight, pixel.light - expected);
  }
  BinEquations equations = sums.equations(step.contrast);
  // Keeps a bin without an edge from running away; far too weak to move one with an edge.
  const double stiffness = 1e-6 * static_cast<double>(bin.pixel_count);
  equations.normal(0, 0) += stiffness;
  equations.normal(1, 1) += stiffness;
  equations.normal(2, 2) += stiffness;
  add_edge_levels(bin, step, levels, equations);
  return equations;
}

// Black and white well to either side of the edge where there are pixels so far out, else of the whole sides.
Step first_guess(const EdgeStrip& strip, const EdgeBin& bin, double blur_px) {
  struct Side {
    double sum = 0.0, count = 0.0, far_sum = 0.0, far_count = 0.0;
    double mean() const { return far_count > 0.0 ? far_sum / far_count : sum / count; }
  };
  Side inside, outside;
  for (const EdgePixel& pixel : strip.pixels_of(bin)) {
    Side& side = pixel.across_px < 0.0 ? inside : outside;
    side.sum += pixel.light;
    side.count += 1.0;
    if (std::abs(pixel.across_px) < blur_px) continue;
    side.far_sum += pixel.light;
    side.far_count += 1.0;
  }
  Step step;
  if (inside.count == 0.0 || outside.count == 0.0) return step;
  step.black = inside.mean();
  step.contrast = outside.mean() - step.black;
  step.usable = step.contrast > least_contrast;
  return step;
}

// Through the bins whose levels are near the middle of all.
EdgeLevels edge_levels(const std::vector<EdgeBin>& bins, const std::vector<Step>& steps) {
  std::vector<double> blacks;
  std::vector<double> contrasts;
  for (const Step& step : steps) {
    if (!step.usable) continue;
    blacks.push_back(step.black);
    contrasts.push_back(step.contrast);
  }
  EdgeLevels levels;
  if (blacks.size() < 4) return levels;
  const double black = median(blacks);
  const double contrast = median(contrasts);
  Eigen::Matrix2d normal = Eigen::Matrix2d::Zero();
  Eigen::Vector2d black_right = Eigen::Vector2d::Zero();
  Eigen::Vector2d contrast_right = Eigen::Vector2d::Zero();
  for (std::size_t i = 0; i < bins.size(); ++i) {
    const Step& step = steps[i];
    if (!step.usable || std::abs(step.black - black) > 0.25 * contrast ||
        std::abs(step.contrast - contrast) > 0.4 * contrast) {
      continue;
    }
    const Eigen::Vector2d place(1.0, bins[i].along_px);
    normal += place * place.transpose();
    black_right += place * step.black;
    contrast_right += place * step.contrast;
  }
  const double determinant = normal.determinant();
  if (normal(0, 0) < 4.0 || determinant < 1e-6 * normal(0, 0) * normal(1, 1)) return levels;
  levels.black = normal.ldlt().solve(black_right);
  levels.contrast = normal.ldlt().solve(contrast_right);
  levels.weight = 2.0;
  return levels;
}

}  // namespace

EdgeSteps fit_steps(const EdgeStrip& strip, double start_blur_px, double half_pixel_px) {
  constexpr int most_passes = 4;
  constexpr double settled_px = 0.004;
  constexpr double far_px = 0.5;
  EdgeSteps edge;
  edge.blur_px = start_blur_px;
  const std::vector<EdgeBin>& bins = strip.bins;
  edge.steps.reserve(bins.size());
  for (const EdgeBin& bin : bins) edge.steps.push_back(first_guess(strip, bin, start_blur_px));
  std::vector<BinEquations> equations(bins.size());
  double typical_change_px = 1.0;
  for (int pass = 0; pass < most_passes && typical_change_px > settled_px; ++pass) {
    const EdgeLevels levels = pass == 0 ? EdgeLevels{} : edge_levels(bins, edge.steps);
    const StepProfile profile(edge.blur_px, half_pixel_px);
    // The bins' own unknowns are eliminated (Schur complement); what is left is one equation for the blur.
    double blur_normal = 1e-9;
    double blur_right = 0.0;
    for (std::size_t i = 0; i < bins.size(); ++i) {
      if (!edge.steps[i].usable) continue;
      BinEquations& bin = equations[i];
      bin = linearise(strip, bins[i], edge.steps[i], profile, levels);
      bin.solve();
      const Eigen::Vector3d coupling = bin.normal.topRightCorner<3, 1>();
      // Each bin has the same say, whatever its contrast.
      const double weight = 1.0 / (edge.steps[i].contrast * edge.steps[i].contrast);
      blur_normal += weight * (bin.normal(3, 3) - coupling.dot(bin.by_blur));
      blur_right += weight * (bin.right(3) - coupling.dot(bin.own));
    }
    const double most_change = 0.3 * edge.blur_px;
    const double change = std::clamp(blur_right / blur_normal, -most_change, most_change);
    const double blur_px = std::clamp(edge.blur_px + change, least_blur_px, most_blur_px);
    const double taken = blur_px - edge.blur_px;
    double moved_squares = 0.0;
    int moved_bins = 0;
    for (std::size_t i = 0; i < bins.size(); ++i) {
      Step& step = edge.steps[i];
      if (!step.usable) continue;
      const Eigen::Vector3d better = equations[i].own - taken * equations[i].by_blur;
      const double moved = std::clamp(better(0), -1.0, 1.0);
      step.across_px += moved;
      step.black += better(1);
      step.contrast += better(2);
      step.usable =
          step.contrast > least_contrast && std::abs(step.across_px) < 4.0 && std::isfinite(step.across_px);
      // A bin that goes far is no edge and is left out later: the others need not wait for it.
      if (!step.usable || std::abs(moved) > far_px) continue;
      moved_squares += moved * moved;
      ++moved_bins;
    }
    edge.blur_px = blur_px;
    typical_change_px =
        std::max(std::abs(taken), std::sqrt(moved_squares / static_cast<double>(std::max(moved_bins, 1))));
  }
  return edge;
}

}  // namespace pivotfix
