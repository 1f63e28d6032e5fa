// SPDX-License-Identifier: Apache-2.0
// Pivots of which one set or both tell a line only (hardpoints/open_lines.h): compared across that line, at
// one place of it. Private to the compare stage.
#pragma once

#include <Eigen/Core>
#include <string>
#include <vector>

#include "compare/overlay.h"
#include "compare/touched.h"

namespace pivotfix {

// Both by their places among the common pivots.
struct CommonLine {
  std::size_t pivot = 0;
  std::size_t through = 0;  // the line's other pivot
};

// A direction along which two sets cannot tell a pivot's places apart; unit vector, axes of the first.
struct OpenDirection {
  std::size_t pivot = 0;
  Eigen::Vector3d along = Eigen::Vector3d::UnitZ();
};

// A pivot whose line's other pivot is not common as well is left a point.
std::vector<CommonLine> common_lines(const HardpointSet& before, const HardpointSet& after,
                                     const std::vector<std::string>& common_pivots);

// The second's pivots slide, each along its own line, to where the first has them as seen from the middle of
// the pivots that are points; their covariance becomes that of the line there. Else lines that lean a little
// differently would differ by as much more as the two places are apart.
PointCloud slid_to_the_first(const PointCloud& first, const std::vector<CommonLine>& lines,
                             PointCloud second);

// One direction for both sets: the middle one of both lines.
std::vector<OpenDirection> open_directions(const PointCloud& first, const std::vector<CommonLine>& lines,
                                           const OverlaidPivots& overlaid);

// Without what is along these directions: shifts have no part there, and the covariance has no uncertainty.
OverlaidPivots across(const std::vector<OpenDirection>& open, OverlaidPivots overlaid);

// As touched_shifts, with nothing held along these directions, and without what is along them. Pivots that
// have one must be touched without a direction of their own.
TouchedShifts touched_across(const std::vector<OpenDirection>& open, const OverlaidPivots& overlaid,
                             const std::vector<TouchedPivot>& touched);

}  // namespace pivotfix
