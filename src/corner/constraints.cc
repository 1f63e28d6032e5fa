// SPDX-License-Identifier: Apache-2.0
#include "corner/constraints.h"

#include <algorithm>
#include <map>
#include <string>

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
void add_arm(ConstraintList& list, Layout layout, const std::string& level) {
  const std::size_t ball = index_of(layout, level + "_ball_joint");
  const char* part = level == "lower" ? "lower arm" : "upper arm";
  for (const char* leg : {"_arm_front_pivot", "_arm_rear_pivot"})
    add(list, FixedDistance{index_of(layout, level + leg), ball, part});
}

void add_two_links(ConstraintList& list, Layout layout, const std::string& level) {
  const bool lower = level == "lower";
  const auto add_link = [&](const std::string& name, const char* part) {
    add(list, FixedDistance{index_of(layout, name + "_inner_joint"), index_of(layout, name + "_outer_joint"),
                            part});
  };
  add_link(level + "_front_link", lower ? "lower front link" : "upper front link");
  add_link(level + "_rear_link", lower ? "lower rear link" : "upper rear link");
}

void add_strut(ConstraintList& list, Layout layout) {
  add(list, PointOnLine{index_of(layout, "strut_top_mount"), index_of(layout, "strut_axis_low"), "strut"});
}

// The two legs or links that were added first.
LowerArm lower_arm_of(const ConstraintList& list) {
  const FixedDistance& front = std::get<FixedDistance>(list.constraints.at(0));
  const FixedDistance& rear = std::get<FixedDistance>(list.constraints.at(1));
  return {front.body_point, rear.body_point, front.knuckle_point, rear.knuckle_point};
}

// What the knuckle's upper end is held by: `list` has the lower arm already.
void add_upper_part(ConstraintList& list, Layout layout) {
  switch (layout) {
    case Layout::strut:
    case Layout::strut_two_links:
      add_strut(list, layout);
      list.knuckle_high = index_of(layout, "strut_top_mount");
      return;
    case Layout::double_wishbone:
    case Layout::double_wishbone_upper_spring:
      add_arm(list, layout, "upper");
      list.knuckle_high = index_of(layout, "upper_ball_joint");
      return;
    case Layout::five_link:
      add_two_links(list, layout, "upper");
      list.knuckle_high = index_of(layout, "upper_front_link_outer_joint");
      return;
  }
}

// Lower arm first, steering link and travel last.
ConstraintList list_for(Layout layout) {
  ConstraintList list;
  if (layout == Layout::strut_two_links || layout == Layout::five_link)
    add_two_links(list, layout, "lower");
  else
    add_arm(list, layout, "lower");
  list.lower_arm = lower_arm_of(list);
  list.knuckle_low = list.lower_arm.front_outer;
  add_upper_part(list, layout);
  list.link_inner = index_of(layout, "link_inner_joint");
  list.link_outer = index_of(layout, "link_outer_joint");
  list.wheel_centre = index_of(layout, "wheel_centre");
  list.link_row = static_cast<int>(list.parts.size());
  add(list, SteeringLink{list.link_inner, list.link_outer});
  list.travel_row = static_cast<int>(list.parts.size());
  add(list, HeightIsTravel{list.wheel_centre});
  if (list.parts.size() != 6)
    throw Problem(ProblemKind::internal, "A layout does not have six equations.", "Please report this.");
  return list;
}

}  // namespace

const ConstraintList& constraints_of(Layout layout) {
  static const std::map<Layout, ConstraintList> lists = [] {
    std::map<Layout, ConstraintList> all;
    for (const Layout one : all_layouts()) all.emplace(one, list_for(one));
    return all;
  }();
  return lists.at(layout);
}

}  // namespace pivotfix
