// SPDX-License-Identifier: Apache-2.0
#include "tags/quad_shape.h"

#include <Eigen/Eigenvalues>
#include <cmath>
#include <limits>

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

}  // namespace

std::optional<TagCorners> four_sides_of(const DarkPatch& patch) {
  const Polygon hull = convex_hull(patch.row_ends);
  if (hull.size() < 4) return std::nullopt;
  const auto rough = reduce_to_four(hull);
  if (!rough || !is_convex(*rough)) return std::nullopt;
  Polygon rim;
  rim.reserve(patch.row_ends.size() + patch.column_ends.size());
  for (const PixelPlace& p : patch.row_ends) rim.emplace_back(p.x, p.y);
  for (const PixelPlace& p : patch.column_ends) rim.emplace_back(p.x, p.y);
  const auto better = fit_sides(rim, *rough, std::max(1.5, 0.03 * shortest_side(*rough)), 0.0);
  if (!better) return std::nullopt;
  return fit_sides(rim, *better, 1.2, 0.5);
}

}  // namespace pivotfix
