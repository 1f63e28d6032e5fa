// SPDX-License-Identifier: Apache-2.0
#include "corner/floor_slope.h"

#include <Eigen/Geometry>

#include "corner/front_view.h"

namespace pivotfix {
namespace {

// Axes that rise with the floor see every point turn the other way.
SlopeEffect effect_of(const Corner& corner, const Eigen::Vector3d& floor_turns_about) {
  Eigen::VectorXd points_move(static_cast<Eigen::Index>(3 * corner.points.size()));
  for (std::size_t i = 0; i < corner.points.size(); ++i)
    points_move.segment<3>(static_cast<Eigen::Index>(3 * i)) =
        -floor_turns_about.cross(corner.points[i].position_vehicle_mm);
  const FrontViewDerivatives slopes = front_view_derivatives(corner);
  const double arm = slopes.arm_angle.dot(points_move);
  const double link = slopes.link_angle.dot(points_move);
  return {arm, link, link - arm, slopes.effective_mismatch.dot(points_move)};
}

}  // namespace

FloorSlope floor_slope(const Corner& corner) {
  return {effect_of(corner, Eigen::Vector3d::UnitX()), effect_of(corner, -Eigen::Vector3d::UnitY())};
}

}  // namespace pivotfix
