// SPDX-License-Identifier: Apache-2.0
#include "corner/constraints.h"

#include <algorithm>

#include "base/problem.h"

namespace pivotfix {
namespace {

std::size_t index_of(Layout layout, std::string_view name) {
  const std::vector<std::string>& names = hardpoint_names(layout);
  return static_cast<std::size_t>(std::find(names.begin(), names.end(), name) - names.begin());
}

void add(ConstraintList& list, const Constraint& constraint) {
  list.constraints.push_back(constraint);
  const int rows = std::holds_alternative<PointOnLine>(constraint) ? 2 : 1;
  for (int i = 0; i < rows; ++i)
    list.parts.push_back(std::visit([](const auto& held) { return held.part; }, constraint));
}

// A triangular arm is two legs to one ball joint.
void add_arm(ConstraintList& list, std::size_t front, std::size_t rear, std::size_t ball, const char* part) {
  add(list, FixedDistance{front, ball, part});
  add(list, FixedDistance{rear, ball, part});
}

// What all layouts have: lower arm first, steering link and travel last.
template <typename Between>
ConstraintList with_common_parts(Layout layout, std::string_view steering_axis_high, Between add_between) {
  const auto at = [&](std::string_view name) { return index_of(layout, name); };
  ConstraintList list;
  list.link_inner = at("link_inner_joint");
  list.link_outer = at("link_outer_joint");
  list.wheel_centre = at("wheel_centre");
  list.lower_arm_front = at("lower_arm_front_pivot");
  list.lower_arm_rear = at("lower_arm_rear_pivot");
  list.steering_axis_low = at("lower_ball_joint");
  list.steering_axis_high = at(steering_axis_high);
  add_arm(list, list.lower_arm_front, list.lower_arm_rear, list.steering_axis_low, "lower arm");
  add_between(list, at);
  list.link_row = static_cast<int>(list.parts.size());
  add(list, FixedDistance{list.link_inner, list.link_outer, "steering link"});
  list.travel_row = static_cast<int>(list.parts.size());
  add(list, HeightIsTravel{list.wheel_centre});
  if (list.parts.size() != 6)
    throw Problem(ProblemKind::internal, "A layout does not have six equations.", "Please report this.");
  return list;
}

ConstraintList strut() {
  return with_common_parts(Layout::strut, "strut_top_mount", [](ConstraintList& list, const auto& at) {
    add(list, PointOnLine{at("strut_top_mount"), at("strut_axis_low"), "strut"});
  });
}

ConstraintList double_wishbone() {
  return with_common_parts(Layout::double_wishbone, "upper_ball_joint",
                           [](ConstraintList& list, const auto& at) {
                             add_arm(list, at("upper_arm_front_pivot"), at("upper_arm_rear_pivot"),
                                     at("upper_ball_joint"), "upper arm");
                           });
}

}  // namespace

const ConstraintList& constraints_of(Layout layout) {
  static const ConstraintList strut_list = strut();
  static const ConstraintList double_wishbone_list = double_wishbone();
  return layout == Layout::strut ? strut_list : double_wishbone_list;
}

}  // namespace pivotfix
