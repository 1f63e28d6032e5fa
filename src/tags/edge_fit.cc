// SPDX-License-Identifier: Apache-2.0
#include "tags/edge_fit.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>

#include "base/median.h"
#include "tags/step_fit.h"
#include "tags/white_rim.h"

namespace pivotfix {
namespace {

// A point of an edge in the edge's own coordinates.
struct StripPoint {
  double along_px = 0.0;
  double across_px = 0.0;
};

// Lens distortion bends the edges of a large tag by some tenths of a pixel: points are judged by their
// distance from a parabola, not from the line.
struct Parabola {
  Eigen::Vector3d coefficients = Eigen::Vector3d::Zero();
  double middle = 0.0;
  double half_length = 1.0;

  double residual(const StripPoint& p) const { return p.across_px - coefficients.dot(powers(p)); }
  Eigen::Vector3d powers(const StripPoint& p) const {
    const double t = (p.along_px - middle) / half_length;
    return {1.0, t, t * t};
  }
};

Parabola fit_parabola(const std::vector<StripPoint>& points, double length_px) {
  Parabola parabola;
  parabola.middle = 0.5 * length_px;
  parabola.half_length = 0.5 * length_px;
  Eigen::Matrix3d normal = Eigen::Matrix3d::Zero();
  Eigen::Vector3d right = Eigen::Vector3d::Zero();
  for (const StripPoint& p : points) {
    const Eigen::Vector3d row = parabola.powers(p);
    normal += row * row.transpose();
    right += row * p.across_px;
  }
  // Lets a short or sparsely covered edge stay straight.
  normal(2, 2) += 0.1 * static_cast<double>(points.size());
  parabola.coefficients = normal.ldlt().solve(right);
  return parabola;
}

struct Inliers {
  std::vector<StripPoint> points{};
  double noise_px = 0.0;
};

// Three-sigma rejection, starting from the median distance and its spread.
Inliers reject_outliers(const std::vector<StripPoint>& points, double length_px) {
  constexpr double least_sigma_px = 0.02;
  constexpr double sigma_from_median = 1.4826;  // normal distribution
  std::vector<double> across;
  for (const StripPoint& p : points) across.push_back(p.across_px);
  const double middle = median(across);
  for (double& value : across) value = std::abs(value - middle);
  const double spread = sigma_from_median * median(across);

  Inliers inliers;
  const double wide = std::max(0.3, 4.0 * spread);
  for (const StripPoint& p : points) {
    if (std::abs(p.across_px - middle) <= wide) inliers.points.push_back(p);
  }
  for (int pass = 0; pass < 4; ++pass) {
    const Parabola parabola = fit_parabola(inliers.points, length_px);
    std::vector<double> distances;
    for (const StripPoint& p : inliers.points) distances.push_back(std::abs(parabola.residual(p)));
    const double sigma = std::max(least_sigma_px, sigma_from_median * median(distances));
    inliers.points.clear();
    double squares = 0.0;
    for (const StripPoint& p : points) {
      const double residual = parabola.residual(p);
      if (std::abs(residual) > 3.0 * sigma) continue;
      inliers.points.push_back(p);
      squares += residual * residual;
    }
    if (inliers.points.empty()) break;
    inliers.noise_px = std::sqrt(squares / static_cast<double>(inliers.points.size()));
  }
  return inliers;
}

// Total least squares.
PictureLine line_of(const std::vector<EdgePoint>& points, const Eigen::Vector2d& outward) {
  Eigen::Vector2d mean = Eigen::Vector2d::Zero();
  for (const EdgePoint& p : points) mean += p.point_px;
  mean /= static_cast<double>(points.size());
  Eigen::Matrix2d squares = Eigen::Matrix2d::Zero();
  for (const EdgePoint& p : points) squares += (p.point_px - mean) * (p.point_px - mean).transpose();
  PictureLine line;
  line.normal = least_direction(squares);
  if (line.normal.dot(outward) < 0.0) line.normal = -line.normal;
  line.offset = line.normal.dot(mean);
  return line;
}

// Bins whose brightness is far from the rest of the edge: something lies on the tag.
void drop_odd_brightness(EdgeSteps& edge) {
  std::vector<double> contrasts;
  std::vector<double> blacks;
  for (const Step& step : edge.steps) {
    if (!step.usable) continue;
    contrasts.push_back(step.contrast);
    blacks.push_back(step.black);
  }
  if (contrasts.empty()) return;
  const double contrast = median(contrasts);
  const double black = median(blacks);
  for (Step& step : edge.steps) {
    if (step.contrast < 0.5 * contrast || step.contrast > 2.0 * contrast) step.usable = false;
    if (std::abs(step.black - black) > 0.5 * contrast) step.usable = false;
  }
}

double largest_distance(const TagCorners& a, const TagCorners& b) {
  double largest = 0.0;
  for (int k = 0; k < 4; ++k) largest = std::max(largest, (a[k] - b[k]).norm());
  return largest;
}

struct FittedEdge {
  PictureLine line{};
  std::vector<EdgePoint> points{};
  double noise_px = 0.0;
  WhiteRim rim{};
  double blur_px = 0.0;
};

std::optional<FittedEdge> fit_edge(const GreyPicture& picture, const EdgeFrame& frame, const StripWish& wish,
                                   const LightTable& light_of_grey) {
  constexpr double least_used = 0.35;  // of the bins
  const EdgeStrip strip = collect_strip(picture, frame, wish, light_of_grey);
  const std::vector<EdgeBin>& bins = strip.bins;
  if (bins.size() < 4) return std::nullopt;
  // A pixel is a square: across the edge it is the sum of two boxes. The wider one is modelled, the narrower
  // one widens the fitted blur a little.
  const double half_pixel_px = 0.5 * frame.outward.cwiseAbs().maxCoeff();
  const double narrow_px = frame.outward.cwiseAbs().minCoeff();
  EdgeSteps edge = fit_steps(strip, wish.blur_px, half_pixel_px);
  drop_odd_brightness(edge);
  std::vector<StripPoint> points;
  for (std::size_t i = 0; i < bins.size(); ++i) {
    if (edge.steps[i].usable) points.push_back({bins[i].along_px, edge.steps[i].across_px});
  }
  if (points.size() < 4) return std::nullopt;
  const Inliers inliers = reject_outliers(points, frame.length_px);
  if (inliers.points.size() < 4 ||
      static_cast<double>(inliers.points.size()) < least_used * static_cast<double>(bins.size())) {
    return std::nullopt;
  }
  FittedEdge fitted;
  for (const StripPoint& p : inliers.points) {
    fitted.points.push_back({frame.start_px + p.along_px * frame.along + p.across_px * frame.outward});
  }
  fitted.line = line_of(fitted.points, frame.outward);
  fitted.noise_px = inliers.noise_px;
  if (wish.coarse) fitted.rim = white_rim(strip);
  fitted.blur_px = std::sqrt(std::max(0.0, edge.blur_px * edge.blur_px - narrow_px * narrow_px / 12.0));
  return fitted;
}

// All four edges, looked for about the corners that are known so far.
class EdgesOfTag {
 public:
  EdgesOfTag(const GreyPicture& picture, const TagCorners& corner_px, int tag_number, bool tone_curve)
      : picture_(picture), tag_number_(tag_number), light_of_grey_(light_table(tone_curve)) {
    fitted_.corner_px = corner_px;
    blur_px_.fill(std::clamp(0.3 * shortest_side(corner_px) / tag_cells, 0.5, 1.2));
  }
  bool fit(bool coarse);  // false when an edge cannot be fitted
  // Moves edges with a narrow rim out to where they are, about. False when that leaves no quad.
  bool undo_pull_of_rims();
  // How far the corners moved in the last fit.
  double moved_px() const { return moved_px_; }
  FittedEdges& fitted() { return fitted_; }

 private:
  const GreyPicture& picture_;
  int tag_number_;
  const LightTable& light_of_grey_;
  std::array<double, 4> blur_px_{};
  std::array<WhiteRim, 4> rim_{};
  std::array<PictureLine, 4> line_{};  // normals point outwards
  double moved_px_ = 0.0;
  FittedEdges fitted_{};
};

bool EdgesOfTag::fit(bool coarse) {
  if (!is_convex(fitted_.corner_px)) return false;
  const auto frames = edge_frames(fitted_.corner_px, tag_number_);
  double noise_squares = 0.0;
  double blur_sum = 0.0;
  for (int k = 0; k < 4; ++k) {
    const double reach_px = (coarse ? 4.0 : 3.0) * blur_px_[k] + 1.3;
    auto edge =
        fit_edge(picture_, frames[k], {blur_px_[k], reach_px, rim_[k].lightest_px, coarse}, light_of_grey_);
    if (!edge) return false;
    line_[k] = edge->line;
    fitted_.edge_points[k] = std::move(edge->points);
    if (coarse) rim_[k] = edge->rim;
    blur_px_[k] = std::max(edge->blur_px, least_blur_px);
    noise_squares += edge->noise_px * edge->noise_px;
    blur_sum += edge->blur_px;
  }
  const auto corner = corners_of_edges(line_);
  if (!corner) return false;
  moved_px_ = largest_distance(*corner, fitted_.corner_px);
  fitted_.corner_px = *corner;
  fitted_.edge_noise_px = std::sqrt(noise_squares / 4.0);
  fitted_.blur_px = blur_sum / 4.0;
  return true;
}

bool EdgesOfTag::undo_pull_of_rims() {
  // That of an edge whose paper goes on: one step fitted to a narrow rim is much too sharp.
  const double blur_px = *std::max_element(blur_px_.begin(), blur_px_.end());
  for (int k = 0; k < 4; ++k) {
    const double pull_px = inward_pull_px(rim_[k], blur_px);
    fitted_.rim_doubt_px[k] = pull_px;  // nothing better is known of it
    line_[k].offset += pull_px;
    for (EdgePoint& point : fitted_.edge_points[k]) point.point_px += pull_px * line_[k].normal;
  }
  const auto corner = corners_of_edges(line_);
  if (corner) fitted_.corner_px = *corner;
  return corner.has_value();
}

}  // namespace

std::optional<FittedEdges> fit_edges(const GreyPicture& picture, const TagCorners& corner_px, int tag_number,
                                     bool tone_curve) {
  // Where an edge was expected matters little: a tenth of a pixel moves most results by less than two
  // thousandths.
  constexpr double settled_px = 0.1;
  constexpr double most_unsettled_px = 0.3;
  constexpr int most_fine_passes = 4;
  EdgesOfTag edges(picture, corner_px, tag_number, tone_curve);
  if (!edges.fit(true)) return std::nullopt;
  for (int pass = 0; pass < most_fine_passes; ++pass) {
    if (!edges.fit(false)) return std::nullopt;
    if (edges.moved_px() < settled_px) break;
  }
  if (edges.moved_px() > most_unsettled_px) return std::nullopt;
  if (!edges.undo_pull_of_rims()) return std::nullopt;
  FittedEdges fitted = std::move(edges.fitted());
  const double most_moved_px = std::max(2.0, 0.04 * shortest_side(corner_px));
  if (largest_distance(fitted.corner_px, corner_px) > most_moved_px) return std::nullopt;
  if (!is_convex(fitted.corner_px)) return std::nullopt;
  return fitted;
}

}  // namespace pivotfix
