// SPDX-License-Identifier: Apache-2.0
// What holds a knuckle. A new layout is one more list of constraints in constraints.cc.
#pragma once

#include <variant>
#include <vector>

#include "hardpoints/hardpoint_set.h"

namespace pivotfix {

// Points are indices into Corner::points; `part` is the word for messages.

// Steering link, or one leg of an arm: its length stays.
struct FixedDistance {
  std::size_t body_point = 0;
  std::size_t knuckle_point = 0;
  const char* part = "";
};

// Strut: the body point stays on the line through it and `knuckle_point` that is fixed in the knuckle.
// Two equations.
struct PointOnLine {
  std::size_t body_point = 0;
  std::size_t knuckle_point = 0;
  const char* part = "";
};

// The wheel centre's height over ride height is the travel.
struct HeightIsTravel {
  std::size_t knuckle_point = 0;
  const char* part = "wheel";
};

using Constraint = std::variant<FixedDistance, PointOnLine, HeightIsTravel>;

struct ConstraintList {
  std::vector<Constraint> constraints{};  // six equations
  int link_row = 0;                       // equation of the steering link
  int travel_row = 0;                     // equation of the travel
  std::vector<const char*> parts{};       // of each equation
  std::size_t link_inner = 0;
  std::size_t link_outer = 0;
  std::size_t wheel_centre = 0;
  std::size_t lower_arm_front = 0;
  std::size_t lower_arm_rear = 0;
  std::size_t steering_axis_low = 0;  // two points of the axis about which the wheel steers
  std::size_t steering_axis_high = 0;
};

const ConstraintList& constraints_of(Layout layout);

}  // namespace pivotfix
