// SPDX-License-Identifier: Apache-2.0
#include "tags/quad_shape.h"

#include <Eigen/Eigenvalues>
#include <bit>
#include <cmath>
#include <limits>

#include "tags/rim_segments.h"

namespace pivotfix {
namespace {

using Polygon = std::vector<Eigen::Vector2d>;

double cross(const Eigen::Vector2d& a, const Eigen::Vector2d& b) {
  return a.x() * b.y() - a.y() * b.x();
}

// One half of the hull of points that come row by row (Andrew's monotone chain).
template <typename Iterator>
void add_half_hull(Iterator begin, Iterator end, Polygon& hull) {
  const std::size_t start = hull.size();
  for (Iterator p = begin; p != end; ++p) {
    const Eigen::Vector2d point(p->x, p->y);
    while (hull.size() >= start + 2 &&
           cross(hull.back() - hull[hull.size() - 2], point - hull.back()) >= 0.0) {
      hull.pop_back();
    }
    hull.push_back(point);
  }
  hull.pop_back();  // the other half begins with it
}

// In the turning sense of TagCorners. `row_ends` holds two pixels a row, from the top.
Polygon convex_hull(const std::vector<PixelPlace>& row_ends) {
  Polygon hull;
  if (row_ends.size() < 4) return hull;
  add_half_hull(row_ends.begin(), row_ends.end(), hull);
  add_half_hull(row_ends.rbegin(), row_ends.rend(), hull);
  return hull;
}

// Where the sides before and after side k meet when side k is left out; empty when they do not.
std::optional<Eigen::Vector2d> tip_over_side(const Polygon& polygon, std::size_t k) {
  const std::size_t n = polygon.size();
  const Eigen::Vector2d& before = polygon[(k + n - 1) % n];
  const Eigen::Vector2d& start = polygon[k];
  const Eigen::Vector2d& end = polygon[(k + 1) % n];
  const Eigen::Vector2d& after = polygon[(k + 2) % n];
  const Eigen::Vector2d along_before = start - before;
  const Eigen::Vector2d along_after = after - end;
  const double turn = cross(along_before, along_after);
  const double whole_turn = along_before.norm() * along_after.norm();
  // Both sides must still turn the same way, by less than half a turn together.
  if (turn > -0.02 * whole_turn) return std::nullopt;
  return start + along_before * (cross(end - start, along_after) / turn);
}

// Leaves out, again and again, the side whose leaving adds the least area. What is left of a hull with
// rounded corners are its four long sides.
std::optional<TagCorners> reduce_to_four(Polygon polygon) {
  while (polygon.size() > 4) {
    double least_area = std::numeric_limits<double>::infinity();
    std::size_t least = 0;
    Eigen::Vector2d least_tip = Eigen::Vector2d::Zero();
    for (std::size_t k = 0; k < polygon.size(); ++k) {
      const auto tip = tip_over_side(polygon, k);
      if (!tip) continue;
      const std::size_t next = (k + 1) % polygon.size();
      const double area = std::abs(cross(polygon[next] - polygon[k], *tip - polygon[k]));
      if (area < least_area) {
        least_area = area;
        least = k;
        least_tip = *tip;
      }
    }
    if (!std::isfinite(least_area)) return std::nullopt;
    polygon[least] = least_tip;
    polygon.erase(polygon.begin() + static_cast<std::ptrdiff_t>((least + 1) % polygon.size()));
  }
  if (polygon.size() != 4) return std::nullopt;
  return TagCorners{polygon[0], polygon[1], polygon[2], polygon[3]};
}

// Total least squares through the outline's points that lie along the side from a to b, without its ends.
// Empty when too little of the side has points.
std::optional<Line> fit_side(const Polygon& outline, const Eigen::Vector2d& a, const Eigen::Vector2d& b,
                             double tolerance_px) {
  constexpr double least_covered = 0.35;
  const double length = (b - a).norm();
  const Eigen::Vector2d along = (b - a) / length;
  const Line side = line_through(a, b);
  const double margin = std::min(0.1 * length, 6.0);
  Eigen::Vector2d sum = Eigen::Vector2d::Zero();
  Eigen::Matrix2d squares = Eigen::Matrix2d::Zero();
  int count = 0;
  for (const Eigen::Vector2d& p : outline) {
    const double place = along.dot(p - a);
    if (place < margin || place > length - margin || std::abs(side.distance(p)) > tolerance_px) continue;
    const Eigen::Vector2d from_a = p - a;
    sum += from_a;
    squares += from_a * from_a.transpose();
    ++count;
  }
  // The rim has one pixel for each row and one for each column that the side crosses.
  const double steps = (length - 2.0 * margin) * along.cwiseAbs().sum();
  if (count < 4 || count < least_covered * steps) return std::nullopt;
  const Eigen::Vector2d mean = sum / count;
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d> axes(squares - count * mean * mean.transpose());
  Line line;
  line.normal = axes.eigenvectors().col(0);
  if (line.normal.dot(side.normal) < 0.0) line.normal = -line.normal;
  line.offset = line.normal.dot(a + mean);
  return line;
}

std::optional<TagCorners> fit_sides(const Polygon& outline, const TagCorners& corner, double tolerance_px,
                                    double outward_px) {
  std::array<Line, 4> edge;
  for (int k = 0; k < 4; ++k) {
    const auto line = fit_side(outline, corner[k], corner[(k + 1) % 4], tolerance_px);
    if (!line) return std::nullopt;
    edge[k] = *line;
    // line_through's normal points out of a patch in the sense of TagCorners when turned about.
    edge[k].offset -= outward_px;
  }
  const auto fitted = corners_of_edges(edge);
  if (!fitted || !is_convex(*fitted)) return std::nullopt;
  return fitted;
}

// Of a tag's 64 cells 10 to 25 are white: a patch that fills its hull is none. One that is hollow may still
// be a tag that something long and dark touches.
bool may_be_a_tag(const DarkPatch& patch, const Polygon& hull) {
  constexpr double most_filled = 0.94;
  double twice_area = 0.0;
  double around = 0.0;
  for (std::size_t k = 0; k < hull.size(); ++k) {
    const Eigen::Vector2d& next = hull[(k + 1) % hull.size()];
    twice_area += cross(hull[k], next);
    around += (next - hull[k]).cwiseAbs().maxCoeff();
  }
  // Pixels in a polygon through pixel centres (Pick's theorem).
  const double pixels = 0.5 * std::abs(twice_area) + 0.5 * around + 1.0;
  return patch.dark_px < most_filled * pixels;
}

struct Rim {
  std::vector<PixelPlace> row_ends{};
  std::vector<PixelPlace> column_ends{};

  Polygon points() const {
    Polygon all;
    all.reserve(row_ends.size() + column_ends.size());
    for (const PixelPlace& p : row_ends) all.emplace_back(p.x, p.y);
    for (const PixelPlace& p : column_ends) all.emplace_back(p.x, p.y);
    return all;
  }
};

std::optional<TagCorners> fit_to_rim(const Polygon& rim, const TagCorners& rough) {
  const auto better = fit_sides(rim, rough, std::max(1.5, 0.03 * shortest_side(rough)), 0.0);
  if (!better) return std::nullopt;
  return fit_sides(rim, *better, 1.2, 0.5);
}

// Bottom, right, top, left: the outward normals of a tag's edges turn from x towards minus y.
double place_in_turn(const RimSegment& segment) {
  return -std::atan2(segment.line.normal.y(), segment.line.normal.x());
}

// For a patch that is four-sided but for something lying on an edge: choices of four straight stretches of
// the rim, those with the longest stretches first.
std::vector<TagCorners> four_sides_among(const Rim& patch_rim, double smallest_side_px) {
  constexpr std::size_t most_segments = 8;
  constexpr std::size_t most_choices = 4;
  constexpr double least_covered = 0.6;  // of the four sides together
  auto segments =
      straight_segments(patch_rim.row_ends, patch_rim.column_ends, 0.3 * smallest_side_px, most_segments);
  std::stable_sort(segments.begin(), segments.end(), [](const RimSegment& a, const RimSegment& b) {
    return place_in_turn(a) < place_in_turn(b);
  });
  struct Choice {
    TagCorners corner;
    double length_px;
  };
  std::vector<Choice> choices;
  const std::size_t n = segments.size();
  for (unsigned int chosen = 0; chosen < (1U << n); ++chosen) {
    if (std::popcount(chosen) != 4) continue;
    std::array<Line, 4> edge;
    double length_px = 0.0;
    for (std::size_t i = 0, k = 0; i < n; ++i) {
      if (((chosen >> i) & 1U) == 0) continue;
      edge[k++] = segments[i].line;
      length_px += segments[i].length_px;
    }
    const auto corner = corners_of_edges(edge);
    if (!corner || !is_convex(*corner) || shortest_side(*corner) < 0.4 * smallest_side_px) continue;
    double around_px = 0.0;
    for (int k = 0; k < 4; ++k) around_px += ((*corner)[(k + 1) % 4] - (*corner)[k]).norm();
    if (length_px < least_covered * around_px) continue;
    choices.push_back({*corner, length_px});
  }
  std::stable_sort(choices.begin(), choices.end(),
                   [](const Choice& a, const Choice& b) { return a.length_px > b.length_px; });
  std::vector<TagCorners> quads;
  const Polygon rim = choices.empty() ? Polygon{} : patch_rim.points();
  for (const Choice& choice : choices) {
    if (quads.size() == most_choices) break;
    if (const auto quad = fit_to_rim(rim, choice.corner)) quads.push_back(*quad);
  }
  return quads;
}

}  // namespace

std::vector<TagCorners> four_sides_of(const DarkPatch& patch, double smallest_side_px) {
  Rim rim{patch.row_ends(), {}};
  const Polygon hull = convex_hull(rim.row_ends);
  if (hull.size() < 4 || !may_be_a_tag(patch, hull)) return {};
  rim.column_ends = patch.column_ends();
  const auto rough = reduce_to_four(hull);
  if (rough && is_convex(*rough)) {
    if (const auto quad = fit_to_rim(rim.points(), *rough)) return {*quad};
  }
  return four_sides_among(rim, smallest_side_px);
}

}  // namespace pivotfix
