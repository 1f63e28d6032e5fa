// SPDX-License-Identifier: Apache-2.0
// What holds a knuckle. A new layout is one more list of constraints in constraints.cc.
#pragma once

#include <variant>
#include <vector>

#include "hardpoints/hardpoint_set.h"

namespace pivotfix {

// Points are indices into Corner::points; `part` is the word for messages.

// A link, or one leg of an arm: its length stays.
struct FixedDistance {
  std::size_t body_point = 0;
  std::size_t knuckle_point = 0;
  const char* part = "";
};

// The steering link: a link whose inner joint the rack moves.
struct SteeringLink {
  std::size_t body_point = 0;
  std::size_t knuckle_point = 0;
  const char* part = "steering link";
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

using Constraint = std::variant<FixedDistance, SteeringLink, PointOnLine, HeightIsTravel>;

// Where a lower arm works: its two pivots and the ball joint (given twice), or the joints of two links.
struct LowerArm {
  std::size_t front_inner = 0;
  std::size_t rear_inner = 0;
  std::size_t front_outer = 0;
  std::size_t rear_outer = 0;
};

struct ConstraintList {
  std::vector<Constraint> constraints{};  // six equations
  int link_row = 0;                       // equation of the steering link
  int travel_row = 0;                     // equation of the travel
  std::vector<const char*> parts{};       // of each equation
  std::size_t link_inner = 0;
  std::size_t link_outer = 0;
  std::size_t wheel_centre = 0;
  LowerArm lower_arm{};
  std::size_t knuckle_low = 0;   // lowest and highest joint that hold the knuckle, the ends of the steering
  std::size_t knuckle_high = 0;  // axis unless it is a virtual one
};

const ConstraintList& constraints_of(Layout layout);

}  // namespace pivotfix
