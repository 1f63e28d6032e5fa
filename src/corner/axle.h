// SPDX-License-Identifier: Apache-2.0
// Both corners together: the body rolls, the rack steers.
//
// Steer and roll angles are ISO 8855:2011's: about the upward and the forward axis, so steer is positive to
// the left and roll positive when the body's left side rises.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "corner/corner.h"

namespace pivotfix {

// Both corners, the right one mirrored like any.
struct Axle {
  Corner left{};
  Corner right{};
};
Axle make_axle(const HardpointSet& one);  // the other side is its mirror image
// In either order; throws Problem(refused) when both are of the same side.
Axle make_axle(const HardpointSet& one, const HardpointSet& other);

// The body rolls over wheels that stay on the ground, about the point on the ground below the car's middle.
// Steer angles are changes against ride height, relative to the body.
struct RollState {
  double roll_rad = 0.0;
  double left_travel_mm = 0.0;
  double right_travel_mm = 0.0;
  double left_steer_rad = 0.0;
  double right_steer_rad = 0.0;
};
struct RollCurve {
  std::vector<RollState> states{};  // from -largest to +largest
  double roll_steer = 0.0;          // mean steer angle by roll angle, exact; negative understeers
  std::string ended_early{};
};
RollCurve roll_curve(const Axle& axle, double largest_roll_rad, int steps_each_side);

// The rack moves to the left or right (negative) at ride height. Steer angles are changes against straight
// ahead, so static toe does not count.
struct SteerState {
  double rack_mm = 0.0;
  double left_steer_rad = 0.0;
  double right_steer_rad = 0.0;
  double ackermann_difference_rad = 0.0;  // wheel inside the bend less the outer one
  // Ackermann's condition cot(outer) - cot(inner) = distance / wheelbase for the same outer wheel; the
  // distance is that of the steering axes at the ground. Not there without a wheelbase.
  std::optional<double> ideal_difference_rad{};
};
struct SteerCurve {
  std::vector<SteerState> states{};  // by rack position, from its right end to its left one
  std::string ended_early{};
};
SteerCurve steer_curve(const Axle& axle, double largest_rack_mm, double step_mm,
                       std::optional<double> wheelbase_mm = std::nullopt);

}  // namespace pivotfix
