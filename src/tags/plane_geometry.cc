// SPDX-License-Identifier: Apache-2.0
#include "tags/plane_geometry.h"

#include <algorithm>
#include <cmath>

namespace pivotfix {
PictureLine line_through(const Eigen::Vector2d& a, const Eigen::Vector2d& b) {
  const Eigen::Vector2d along = (b - a).normalized();
  PictureLine line;
  line.normal = {along.y(), -along.x()};
  line.offset = line.normal.dot(a);
  return line;
}

std::optional<Eigen::Vector2d> intersection(const PictureLine& a, const PictureLine& b) {
  const double determinant = cross(a.normal, b.normal);
  if (std::abs(determinant) < 0.01) return std::nullopt;
  return Eigen::Vector2d((a.offset * b.normal.y() - b.offset * a.normal.y()) / determinant,
                         (a.normal.x() * b.offset - b.normal.x() * a.offset) / determinant);
}

std::optional<Eigen::Vector2d> diagonal_intersection(const TagCorners& corner) {
  return intersection(line_through(corner[0], corner[2]), line_through(corner[1], corner[3]));
}

// The axes of the scatter lie at the angle a with tan 2a = 2 s_xy / (s_xx - s_yy).
Eigen::Vector2d least_direction(const Eigen::Matrix2d& scatter) {
  const double difference = scatter(0, 0) - scatter(1, 1);
  const double mixed = 2.0 * scatter(0, 1);
  const double size = std::sqrt(difference * difference + mixed * mixed);
  if (size == 0.0) return Eigen::Vector2d::UnitY();
  // Half angles of the largest scatter's direction, from the larger of the two for accuracy.
  Eigen::Vector2d largest;
  if (difference >= 0.0) {
    largest = {difference + size, mixed};
  } else {
    largest = {mixed, size - difference};
  }
  largest.normalize();
  return {-largest.y(), largest.x()};
}

std::optional<TagCorners> corners_of_edges(const std::array<PictureLine, 4>& edge) {
  TagCorners corner;
  for (int k = 0; k < 4; ++k) {
    const auto point = intersection(edge[(k + 3) % 4], edge[k]);
    if (!point) return std::nullopt;
    corner[k] = *point;
  }
  return corner;
}

bool is_convex(const TagCorners& corner) {
  for (int k = 0; k < 4; ++k) {
    const Eigen::Vector2d before = corner[(k + 1) % 4] - corner[k];
    const Eigen::Vector2d after = corner[(k + 2) % 4] - corner[(k + 1) % 4];
    if (!(cross(before, after) < -0.05 * before.norm() * after.norm())) return false;
  }
  return true;
}

double shortest_side(const TagCorners& corner) {
  double shortest = (corner[1] - corner[0]).norm();
  for (int k = 1; k < 4; ++k) shortest = std::min(shortest, (corner[(k + 1) % 4] - corner[k]).norm());
  return shortest;
}

// From the unit square to a quad in closed form: P. S. Heckbert, Fundamentals of Texture Mapping and Image
// Warping, Master's thesis, Berkeley 1989, section 2.2.3.
Homography::Homography(const TagCorners& corner_px) {
  // Of the square's corners (0, 0), (1, 0), (1, 1), (0, 1).
  const Eigen::Vector2d &p0 = corner_px[3], &p1 = corner_px[2], &p2 = corner_px[1], &p3 = corner_px[0];
  const Eigen::Vector2d d1 = p1 - p2;
  const Eigen::Vector2d d2 = p3 - p2;
  const Eigen::Vector2d skew = p0 - p1 + p2 - p3;
  const double determinant = cross(d1, d2);
  const double g = cross(skew, d2) / determinant;
  const double h = cross(d1, skew) / determinant;
  const Eigen::Vector2d across = p1 - p0 + g * p1;
  const Eigen::Vector2d down = p3 - p0 + h * p3;
  constexpr double per_cell = 1.0 / tag_cells;
  matrix_ << per_cell * across.x(), per_cell * down.x(), p0.x(),  //
      per_cell * across.y(), per_cell * down.y(), p0.y(),         //
      per_cell * g, per_cell * h, 1.0;
}

}  // namespace pivotfix
