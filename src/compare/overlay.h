// SPDX-License-Identifier: Apache-2.0
// Laying one set over another on their common points. Private to the compare stage and its tests.
#pragma once

#include <Eigen/Core>
#include <vector>

#include "compare/compare.h"

namespace pivotfix {

// Coordinates of pivots, then of common body tags, with their joint covariance (empty when not known).
struct PointCloud {
  std::vector<Eigen::Vector3d> pivots_mm{};
  std::vector<Eigen::Vector3d> tags_mm{};
  Eigen::MatrixXd covariance_mm2{};
};

struct OverlaidPivots {
  std::vector<Eigen::Vector3d> shift_mm{};   // second minus first, axes of the first
  std::vector<Eigen::Vector3d> pivots_mm{};  // of the second, in the axes of the first
  Eigen::MatrixXd covariance_mm2{};          // of all shifts
  std::vector<std::size_t> left_out{};       // tags that moved
  double rms_mm = 0.0;
  bool tags_agree =
      true;  // false: what is left of them does not fit together, so nothing can be told from it
};

// x y z of each point in turn.
Eigen::VectorXd stacked(const std::vector<Eigen::Vector3d>& points_mm);

// As they are: both in their own axes.
OverlaidPivots on_axes(const PointCloud& first, const PointCloud& second);

// Weighted least squares over rigid motions, both sets' covariances counted; what the tags' errors do to the
// pivots is in the shifts' covariance (JCGM 100:2008, 5.2). A tag that misses by more than one in a thousand
// explains is left out, the worst first, while three remain (data snooping: Baarda, "A Testing Procedure for
// Use in Geodetic Networks", 1968). Throws Problem(refused) with fewer than three tags or tags in one line.
OverlaidPivots on_tags(const PointCloud& first, const PointCloud& second);

}  // namespace pivotfix
