// SPDX-License-Identifier: Apache-2.0
// The solver's knuckle against Simbody's.
#pragma once

#include <cmath>

#include "base/keep_larger.h"
#include "corner/corner.h"
#include "outside/simbody_assembly.h"

namespace pivotfix {

inline NamedPoints named_points(const HardpointSet& set) {
  NamedPoints points;
  for (const Hardpoint& point : set.points)
    points[point.name] = {point.position_vehicle_mm.x(), point.position_vehicle_mm.y(),
                          point.position_vehicle_mm.z()};
  return points;
}

// Largest difference of the knuckle's pose to Simbody's over the states that were added.
struct PoseDifference {
  double place_mm = 0.0;
  double turn_rad = 0.0;
  double largest_toe_change_rad = 0.0;
  int states = 0;

  void add(const HardpointSet& set, const CornerState& state) {
    const Eigen::Vector3d& axis = set.rack_axis_vehicle;
    const KnucklePose other =
        knuckle_by_simbody(named_points(set), state.travel_mm, state.rack_mm, {axis.x(), axis.y(), axis.z()});
    Eigen::Matrix3d rotation;
    Eigen::Vector3d shift;
    for (Eigen::Index r = 0; r < 3; ++r) {
      shift[r] = other.shift_mm[static_cast<std::size_t>(r)];
      for (Eigen::Index c = 0; c < 3; ++c)
        rotation(r, c) = other.rotation[static_cast<std::size_t>(r)][static_cast<std::size_t>(c)];
    }
    const Eigen::Vector3d wheel = set.position_vehicle_mm("wheel_centre");
    keep_larger(place_mm, (state.moved_from_ride * wheel - rotation * wheel - shift).norm());
    const Eigen::Matrix3d turned = rotation.transpose() * state.moved_from_ride.rotation.toRotationMatrix();
    // Of a small rotation: half of the antisymmetric part.
    const Eigen::Vector3d turn(turned(2, 1) - turned(1, 2), turned(0, 2) - turned(2, 0),
                               turned(1, 0) - turned(0, 1));
    keep_larger(turn_rad, 0.5 * turn.norm());
    largest_toe_change_rad = std::max(largest_toe_change_rad, std::abs(state.toe_rad - set.wheel.toe_rad));
    ++states;
  }
};

}  // namespace pivotfix
