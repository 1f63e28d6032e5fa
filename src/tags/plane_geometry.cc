// SPDX-License-Identifier: Apache-2.0
#include "tags/plane_geometry.h"

#include <Eigen/LU>
#include <algorithm>
#include <cmath>

namespace pivotfix {
namespace {

double cross(const Eigen::Vector2d& a, const Eigen::Vector2d& b) {
  return a.x() * b.y() - a.y() * b.x();
}

}  // namespace

Line line_through(const Eigen::Vector2d& a, const Eigen::Vector2d& b) {
  const Eigen::Vector2d along = (b - a).normalized();
  Line line;
  line.normal = {along.y(), -along.x()};
  line.offset = line.normal.dot(a);
  return line;
}

std::optional<Eigen::Vector2d> intersection(const Line& a, const Line& b) {
  const double determinant = cross(a.normal, b.normal);
  if (std::abs(determinant) < 0.01) return std::nullopt;
  return Eigen::Vector2d((a.offset * b.normal.y() - b.offset * a.normal.y()) / determinant,
                         (a.normal.x() * b.offset - b.normal.x() * a.offset) / determinant);
}

std::optional<Eigen::Vector2d> diagonal_intersection(const TagCorners& corner) {
  return intersection(line_through(corner[0], corner[2]), line_through(corner[1], corner[3]));
}

std::optional<TagCorners> corners_of_edges(const std::array<Line, 4>& edge) {
  TagCorners corner;
  for (int k = 0; k < 4; ++k) {
    const auto point = intersection(edge[(k + 3) % 4], edge[k]);
    if (!point) return std::nullopt;
    corner[k] = *point;
  }
  return corner;
}

double signed_area(const TagCorners& corner) {
  return 0.5 * cross(corner[2] - corner[0], corner[3] - corner[1]);
}

bool is_convex(const TagCorners& corner) {
  for (int k = 0; k < 4; ++k) {
    const Eigen::Vector2d before = corner[(k + 1) % 4] - corner[k];
    const Eigen::Vector2d after = corner[(k + 2) % 4] - corner[(k + 1) % 4];
    if (cross(before, after) > -0.05 * before.norm() * after.norm()) return false;
  }
  return true;
}

double shortest_side(const TagCorners& corner) {
  double shortest = (corner[1] - corner[0]).norm();
  for (int k = 1; k < 4; ++k) shortest = std::min(shortest, (corner[(k + 1) % 4] - corner[k]).norm());
  return shortest;
}

// Four points give eight equations for the eight unknowns (direct linear transformation with the last
// element 1: the tag's top left corner is never at infinity).
Homography::Homography(const TagCorners& corner_px) {
  Eigen::Matrix<double, 8, 8> equations;
  Eigen::Matrix<double, 8, 1> right;
  for (int k = 0; k < 4; ++k) {
    const double x = corner_cells[k][0];
    const double y = corner_cells[k][1];
    const double u = corner_px[k].x();
    const double v = corner_px[k].y();
    equations.row(2 * k) << x, y, 1, 0, 0, 0, -u * x, -u * y;
    equations.row(2 * k + 1) << 0, 0, 0, x, y, 1, -v * x, -v * y;
    right(2 * k) = u;
    right(2 * k + 1) = v;
  }
  const Eigen::Matrix<double, 8, 1> h = equations.partialPivLu().solve(right);
  matrix_ << h(0), h(1), h(2), h(3), h(4), h(5), h(6), h(7), 1.0;
}

}  // namespace pivotfix
