// SPDX-License-Identifier: Apache-2.0
#include "corner/floor_slope.h"

#include <Eigen/Geometry>

#include "base/units.h"

namespace pivotfix {
namespace {

constexpr double half_slope_rad = 0.5 * rad_per_deg;

FrontView turned_view(const Corner& corner, double angle_rad, const Eigen::Vector3d& axis) {
  const Eigen::Quaterniond turn(Eigen::AngleAxisd(angle_rad, axis));
  Corner turned = corner;
  for (Hardpoint& point : turned.points) point.position_vehicle_mm = turn * point.position_vehicle_mm;
  turned.stud_axis_vehicle = turn * corner.stud_axis_vehicle;
  turned.rack_axis_vehicle = turn * corner.rack_axis_vehicle;
  return front_view(turned);
}

// Axes that rise with the floor see the corner turn the other way.
SlopeEffect effect_of(const Corner& corner, const Eigen::Vector3d& floor_turns_about) {
  const FrontView up = turned_view(corner, -half_slope_rad, floor_turns_about);
  const FrontView down = turned_view(corner, half_slope_rad, floor_turns_about);
  const double slope_rad = 2.0 * half_slope_rad;
  return {(up.arm_angle_rad - down.arm_angle_rad) / slope_rad,
          (up.link_angle_rad - down.link_angle_rad) / slope_rad,
          (up.mismatch_rad - down.mismatch_rad) / slope_rad,
          (up.effective_mismatch_rad - down.effective_mismatch_rad) / slope_rad};
}

}  // namespace

FloorSlope floor_slope(const Corner& corner) {
  return {effect_of(corner, Eigen::Vector3d::UnitX()), effect_of(corner, -Eigen::Vector3d::UnitY())};
}

}  // namespace pivotfix
