// SPDX-License-Identifier: Apache-2.0
// What to bolt on: how far arm and link are out of step, the rod-end height that makes the toe curve
// flattest, and the nearest stack from the spacers that the user has; each with its standard uncertainty.
#pragma once

#include <Eigen/Core>
#include <string>
#include <vector>

#include "corner/corner.h"
#include "hardpoints/hardpoint_set.h"

namespace pivotfix {

struct Uncertain {
  double value = 0.0;
  double sigma = 0.0;  // standard uncertainty (JCGM 100); zero when the hardpoints came without
};

// One toe curve with the figures people judge it by. Toe is relative to ride height here.
struct ToeCurve {
  std::string title{};             // "as it is", "best height", "chosen stack"
  double rod_end_height_mm = 0.0;  // change against now, up positive
  std::vector<double> travel_mm{};
  std::vector<double> toe_change_rad{};
  std::vector<double> toe_change_sigma_rad{};  // zeros when not known
  double slope_rad_mm = 0.0;                   // at ride height
  double largest_change_rad = 0.0;             // over the travel
  double one_inch_change_rad =
      0.0;  // from ride height to 25.4 mm of bump; by the slope where it locks before
  std::string ended_early{};
};

// A way to fill the space between steering arm and rod end.
struct Stack {
  std::vector<Spacer> between{};     // from the steering arm towards the rod end
  std::vector<Spacer> other_side{};  // what is left of the spacers that were on the car, beyond the rod end
  double between_mm = 0.0;
  double height_change_mm = 0.0;  // of the rod end against now, up positive
  double short_of_best_mm = 0.0;  // stack's height change minus the best one
  double largest_change_rad = 0.0;
  double one_inch_change_rad = 0.0;
};

struct Advice {
  Side side = Side::left;
  Layout layout = Layout::strut;
  Travel travel{};
  Uncertain arm_angle_rad{};
  Uncertain link_angle_rad{};
  Uncertain mismatch_rad{};
  Uncertain effective_mismatch_rad{};
  FrontView front_view{};
  SteeringAxis steering_axis{};
  Uncertain link_line_above_instant_centre_mm{};
  ToeCurve now{};
  ToeCurve best{};                           // at best_height_change_mm
  ToeCurve parallel_link{};                  // rule of thumb: link parallel to the arm
  Uncertain best_height_change_mm{};         // least squares of toe change over the travel; up positive
  double zero_slope_height_change_mm = 0.0;  // the best height where there is none
  std::vector<Stack> stacks{};               // best first; empty when the user named no spacers
  ToeCurve with_stack{};                     // curve of stacks.front(); empty when there is none
  std::vector<std::string> sentences{};      // the answer in words, most important first
  std::vector<std::string> warnings{};       // what limits it
};

// Throws Problem(refused) when the corner cannot be solved.
Advice advise(const HardpointSet& set, const RodEnd& rod_end, const Travel& travel);

}  // namespace pivotfix
