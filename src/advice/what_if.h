// SPDX-License-Identifier: Apache-2.0
// What if: the same question about a changed car, and a sweep over two changes at once.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "advice/advice.h"
#include "base/units.h"

namespace pivotfix {

// One number changed. Known names, each in millimetres:
// - ride-height: the car stands higher; toe is set back with the link, camber becomes what travel makes it
// - lower-ball-joint: it reaches further down, on the arm's arc (an extended one); camber is set back
// - lower-arm-pivots, upper-arm-pivots: both are moved up; the arm's length follows
// - rack: the inner joint of the link is moved up
// - link-length: the inner joint is moved along the link so that the link is longer
// - rod-end: the outer joint of the link is moved up its stud, and no stack is told
// - POINT.x, .y or .z: any hardpoint, link-inner-joint.z
struct Change {
  std::string name{};
  double by_mm = 0.0;
};

// "ride-height=-30 mm"; several with commas between. Throws Problem(usage).
std::vector<Change> changes_from(std::string_view text, LengthUnit unit);

// Throws Problem(usage) for a name that this layout does not know, Problem(refused) where the arms lock.
// Covariance and stud axis included.
HardpointSet changed(const HardpointSet& set, const std::vector<Change>& changes);

struct WhatIf {
  std::string words{};    // "ride height -30.0 mm"
  std::string refusal{};  // why there is no answer, else empty
  Advice advice{};
};
WhatIf what_if(const AdviceQuestion& question, const std::vector<Change>& changes);

// Two changes over a grid, from low to high in equal steps.
struct SweepAxis {
  std::string name{};
  double from_mm = 0.0;
  double to_mm = 0.0;
};
SweepAxis sweep_axis_from(std::string_view text, LengthUnit unit);  // "rack=-10..10 mm"

struct Sweep {
  SweepAxis across{};
  SweepAxis up{};
  std::vector<double> across_mm{};
  std::vector<double> up_mm{};
  // One row for each value of `up`; NaN where the corner cannot be or has no best height.
  Eigen::MatrixXd best_height_change_mm{};
  Eigen::MatrixXd largest_change_rad{};  // with the spacers as they are
};
Sweep sweep(const AdviceQuestion& question, const SweepAxis& across, const SweepAxis& up, int steps = 20);

// The set with points, covariance, wheel and stud of this (left-handed) corner.
HardpointSet with_corner(HardpointSet set, const Corner& corner);

}  // namespace pivotfix
