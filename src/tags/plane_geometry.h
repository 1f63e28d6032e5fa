// SPDX-License-Identifier: Apache-2.0
// Lines and homographies in the picture. Private.
#pragma once

#include <Eigen/Core>
#include <optional>

#include "tags/tags.h"

namespace pivotfix {

// Points p with normal . p = offset; the normal has length one.
struct PictureLine {
  Eigen::Vector2d normal = Eigen::Vector2d::UnitX();
  double offset = 0.0;

  double distance(const Eigen::Vector2d& point) const { return normal.dot(point) - offset; }
};

inline double cross(const Eigen::Vector2d& a, const Eigen::Vector2d& b) {
  return a.x() * b.y() - a.y() * b.x();
}
PictureLine line_through(const Eigen::Vector2d& a, const Eigen::Vector2d& b);
// Empty when the lines are nearly parallel (below about half a degree).
std::optional<Eigen::Vector2d> intersection(const PictureLine& a, const PictureLine& b);
std::optional<Eigen::Vector2d> diagonal_intersection(const TagCorners& corner);
// Unit vector across which points with these sums of squares about their mean scatter least (total least
// squares).
Eigen::Vector2d least_direction(const Eigen::Matrix2d& scatter);
// Corner k is where edges k - 1 and k meet.
std::optional<TagCorners> corners_of_edges(const std::array<PictureLine, 4>& edge);

bool is_convex(const TagCorners& corner);  // strictly, in the order of TagCorners
double shortest_side(const TagCorners& corner);

// Cell coordinates: x to the right, y down, origin in the outer top left corner of the border, one cell is
// one unit; the tag's corners are (0, 8), (8, 8), (8, 0), (0, 0).
class Homography {
 public:
  // The corners must be convex.
  explicit Homography(const TagCorners& corner_px);

  Eigen::Vector2d picture_from_cells(double x, double y) const {
    const double per_w = 1.0 / (matrix_(2, 0) * x + matrix_(2, 1) * y + matrix_(2, 2));
    return {(matrix_(0, 0) * x + matrix_(0, 1) * y + matrix_(0, 2)) * per_w,
            (matrix_(1, 0) * x + matrix_(1, 1) * y + matrix_(1, 2)) * per_w};
  }

 private:
  Eigen::Matrix3d matrix_;
};

}  // namespace pivotfix
