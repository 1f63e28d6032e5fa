// SPDX-License-Identifier: Apache-2.0
#include "tags/step_fit.h"

#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <algorithm>
#include <cmath>

#include "base/median.h"
#include "tags/four_floats.h"
#include "tags/step_profile.h"

namespace pivotfix {
namespace {

constexpr double least_contrast = 0.003;  // of full white, in light
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

// Sums over the pixels of a bin, four at a time, of products of what the unknowns' rows are made of: one each
// for the place and the blur (both without the contrast), white, and one.
struct PixelSums {
  FourFloats place_place{}, place_one{}, place_white{}, place_blur{}, place_miss{};
  FourFloats one_one{}, one_white{}, one_blur{}, one_miss{};
  FourFloats white_white{}, white_blur{}, white_miss{};
  FourFloats blur_blur{}, blur_miss{};

  void add(FourFloats place, FourFloats white, FourFloats blur, FourFloats weight, FourFloats miss) {
    const FourFloats weighted_place = weight * place;
    const FourFloats weighted_white = weight * white;
    const FourFloats weighted_blur = weight * blur;
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
    n(0, 0) = contrast * contrast * sum_of(place_place);
    n(0, 1) = -contrast * sum_of(place_one);
    n(0, 2) = -contrast * sum_of(place_white);
    n(0, 3) = -contrast * contrast * sum_of(place_blur);
    n(1, 1) = sum_of(one_one);
    n(1, 2) = sum_of(one_white);
    n(1, 3) = contrast * sum_of(one_blur);
    n(2, 2) = sum_of(white_white);
    n(2, 3) = contrast * sum_of(white_blur);
    n(3, 3) = contrast * contrast * sum_of(blur_blur);
    result.right << -contrast * sum_of(place_miss), sum_of(one_miss), sum_of(white_miss),
        contrast * sum_of(blur_miss);
    return result;
  }
};

// Noise is about even in coded values, so it grows with the light: weights in the manner of counts.
FourFloats weight_of(FourFloats expected_light) {
  constexpr float floor_light = 0.2F;
  constexpr float much_light = 100.0F;
  return 1.0F / (within(expected_light, 0.0F, much_light) + floor_light);
}

PixelSums sums_of(const EdgeStrip& strip, const EdgeBin& bin, const Step& step, const StepProfile& profile) {
  constexpr std::size_t group = EdgeStrip::group;
  const auto place_px = static_cast<float>(step.across_px);
  const auto black = static_cast<float>(step.black);
  const auto contrast = static_cast<float>(step.contrast);
  const auto inner_px = static_cast<float>(bin.inner_width_px);
  const auto inner_white = static_cast<float>(bin.inner_white);
  const bool sees_inner = bin.inner_white > 0.01 && profile.reaches(bin.inner_reach_px - bin.inner_width_px);
  PixelSums sums;
  for (std::size_t i = 0; i < bin.pixel_count; i += group) {
    const FourFloats across_px = load_four(strip.across_px.data() + bin.first_pixel + i);
    PixelSteps edge = profile.at(across_px - place_px);
    if (sees_inner) {
      // The white cells inside the border begin one border width further in.
      const PixelSteps inner = profile.at(-across_px - inner_px);
      edge.share += inner_white * inner.share;
      edge.by_blur += inner_white * inner.by_blur;
    }
    const FourFloats expected = black + contrast * edge.share;
    const FourFloats miss = load_four(strip.light.data() + bin.first_pixel + i) - expected;
    const FourFloats weight = first_of_four(weight_of(expected), bin.pixel_count - i);
    sums.add(edge.by_distance, edge.share, edge.by_blur, weight, miss);
  }
  return sums;
}

BinEquations linearise(const EdgeStrip& strip, const EdgeBin& bin, const Step& step,
                       const StepProfile& profile, const EdgeLevels& levels) {
  BinEquations equations = sums_of(strip, bin, step, profile).equations(step.contrast);
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
  for (std::size_t i = bin.first_pixel; i < bin.first_pixel + bin.pixel_count; ++i) {
    const double across_px = strip.across_px[i];
    const double light = strip.light[i];
    Side& side = across_px < 0.0 ? inside : outside;
    side.sum += light;
    side.count += 1.0;
    if (std::abs(across_px) < blur_px) continue;
    side.far_sum += light;
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

// Black, contrast and place of each bin and one blur for all, bettered pass by pass.
class StepFit {
 public:
  StepFit(const EdgeStrip& strip, double start_blur_px, double half_pixel_px)
      : strip_(strip), half_pixel_px_(half_pixel_px), equations_(strip.bins.size()) {
    edge_.blur_px = start_blur_px;
    edge_.steps.reserve(strip.bins.size());
    for (const EdgeBin& bin : strip.bins) edge_.steps.push_back(first_guess(strip, bin, start_blur_px));
  }
  // One step of Gauss-Newton; how far the blur and, on the whole, the places moved.
  double improve(const EdgeLevels& levels);
  EdgeLevels levels() const { return edge_levels(strip_.bins, edge_.steps); }
  EdgeSteps& result() { return edge_; }

 private:
  double better_blur_px(const EdgeLevels& levels);
  double move_bins(double blur_change_px);

  const EdgeStrip& strip_;
  double half_pixel_px_;
  std::vector<BinEquations> equations_;
  EdgeSteps edge_{};
};

// The bins' own unknowns are eliminated (Schur complement); what is left is one equation for the blur.
double StepFit::better_blur_px(const EdgeLevels& levels) {
  const StepProfile profile(edge_.blur_px, half_pixel_px_);
  double normal = 1e-9;
  double right = 0.0;
  for (std::size_t i = 0; i < strip_.bins.size(); ++i) {
    const Step& step = edge_.steps[i];
    if (!step.usable) continue;
    BinEquations& bin = equations_[i];
    bin = linearise(strip_, strip_.bins[i], step, profile, levels);
    bin.solve();
    const Eigen::Vector3d coupling = bin.normal.topRightCorner<3, 1>();
    // Each bin has the same say, whatever its contrast.
    const double weight = 1.0 / (step.contrast * step.contrast);
    normal += weight * (bin.normal(3, 3) - coupling.dot(bin.by_blur));
    right += weight * (bin.right(3) - coupling.dot(bin.own));
  }
  const double most_change = 0.3 * edge_.blur_px;
  const double change = std::clamp(right / normal, -most_change, most_change);
  return std::clamp(edge_.blur_px + change, least_blur_px, most_blur_px);
}

// Root mean square of the moves.
double StepFit::move_bins(double blur_change_px) {
  constexpr double far_px = 0.5;
  double squares = 0.0;
  int moved_bins = 0;
  for (std::size_t i = 0; i < edge_.steps.size(); ++i) {
    Step& step = edge_.steps[i];
    if (!step.usable) continue;
    const Eigen::Vector3d better = equations_[i].own - blur_change_px * equations_[i].by_blur;
    const double moved_px = std::clamp(better(0), -1.0, 1.0);
    step.across_px += moved_px;
    step.black += better(1);
    step.contrast += better(2);
    step.usable =
        step.contrast > least_contrast && std::abs(step.across_px) < 4.0 && std::isfinite(step.across_px);
    // A bin that goes far is no edge and is left out later: the others need not wait for it.
    if (!step.usable || std::abs(moved_px) > far_px) continue;
    squares += moved_px * moved_px;
    ++moved_bins;
  }
  return std::sqrt(squares / static_cast<double>(std::max(moved_bins, 1)));
}

double StepFit::improve(const EdgeLevels& levels) {
  const double blur_px = better_blur_px(levels);
  const double blur_change_px = blur_px - edge_.blur_px;
  const double moved_px = move_bins(blur_change_px);
  edge_.blur_px = blur_px;
  return std::max(std::abs(blur_change_px), moved_px);
}

}  // namespace

EdgeSteps fit_steps(const EdgeStrip& strip, double start_blur_px, double half_pixel_px) {
  constexpr int most_passes = 4;
  constexpr double settled_px = 0.004;
  StepFit fit(strip, start_blur_px, half_pixel_px);
  double change_px = fit.improve({});
  for (int pass = 1; pass < most_passes && change_px > settled_px; ++pass)
    change_px = fit.improve(fit.levels());
  return std::move(fit.result());
}

}  // namespace pivotfix
