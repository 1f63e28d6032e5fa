// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <numeric>

#include "report/pictures.h"

namespace pivotfix::report {
namespace {

std::optional<Eigen::Vector3d> found(const HardpointSet& set, std::string_view name) {
  for (const Hardpoint& point : set.points)
    if (point.name == name && point.position_vehicle_mm.allFinite()) return point.position_vehicle_mm;
  return std::nullopt;
}

Eigen::Vector2d front(const Eigen::Vector3d& point) {
  return point.tail<2>();
}

// Where the axis through an arm's pivots stands in the plane of its ball joint; between the pivots when the
// axis runs too much across the car to meet that plane nearby.
Eigen::Vector2d axis_in_front_view(const Eigen::Vector3d& front_pivot, const Eigen::Vector3d& rear_pivot,
                                   double x_mm) {
  const double along_x = rear_pivot.x() - front_pivot.x();
  const double share = std::abs(along_x) > 1.0 ? (x_mm - front_pivot.x()) / along_x : 0.5;
  return front(front_pivot + std::clamp(share, -1.0, 2.0) * (rear_pivot - front_pivot));
}

}  // namespace

Plan plan_of(const Advice& advice) {
  if (!advice.stacks.empty())
    return {true, advice.stacks.front().height_change_mm, 0.0, advice.with_stack, "with the chosen stack"};
  return {false, advice.best_height_change_mm.value, advice.best_height_change_mm.sigma, advice.best,
          "at the best height"};
}

Stack stack_now_of(const ReportInput& input) {
  if (!input.advice.stack_now.between.empty() || !input.advice.stack_now.other_side.empty())
    return input.advice.stack_now;
  Stack stack;
  stack.between = input.rod_end.between_now;
  for (const Spacer& spacer : stack.between) stack.between_mm += spacer.count * spacer.thickness_mm;
  return stack;
}

std::optional<FrontViewPoints> front_view_points(const ReportInput& input) {
  const HardpointSet& set = input.hardpoints;
  const bool strut = set.layout == Layout::strut;
  const auto arm_front = found(set, "lower_arm_front_pivot");
  const auto arm_rear = found(set, "lower_arm_rear_pivot");
  const auto lower_ball_joint = found(set, "lower_ball_joint");
  const auto link_inner = found(set, "link_inner_joint");
  const auto link_outer = found(set, "link_outer_joint");
  const auto wheel_centre = found(set, "wheel_centre");
  const auto upper_inner = found(set, strut ? "strut_top_mount" : "upper_arm_front_pivot");
  const auto upper_outer = found(set, strut ? "strut_axis_low" : "upper_ball_joint");
  const auto upper_rear = strut ? upper_inner : found(set, "upper_arm_rear_pivot");
  if (!arm_front || !arm_rear || !lower_ball_joint || !link_inner || !link_outer || !wheel_centre ||
      !upper_inner || !upper_outer || !upper_rear)
    return std::nullopt;

  FrontViewPoints points;
  points.outboard_sign = set.side == Side::left ? 1.0 : -1.0;
  points.arm_inner = axis_in_front_view(*arm_front, *arm_rear, lower_ball_joint->x());
  points.lower_ball_joint = front(*lower_ball_joint);
  points.upper_inner =
      strut ? front(*upper_inner) : axis_in_front_view(*upper_inner, *upper_rear, upper_outer->x());
  points.upper_outer = front(*upper_outer);
  points.link_inner = front(*link_inner);
  points.rod_end_now = front(*link_outer);
  points.rod_end_after =
      front(*link_outer + plan_of(input.advice).height_change_mm * input.rod_end.stud_axis_vehicle);
  points.wheel_centre = front(*wheel_centre);
  const FrontView& view = input.advice.front_view;
  if (!view.arms_parallel)
    points.instant_centre =
        Eigen::Vector2d(points.outboard_sign * view.instant_centre_yz_mm.x(), view.instant_centre_yz_mm.y());
  return points;
}

std::vector<double> spread(std::vector<double> wanted, double gap) {
  std::vector<std::size_t> order(wanted.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return wanted[a] < wanted[b]; });
  // Groups that touch are merged and centred on the mean of their wishes (pool adjacent violators).
  struct Group {
    double sum = 0.0;  // of wishes, each less its offset within the group
    std::size_t size = 0;
    double start() const { return sum / static_cast<double>(size); }
  };
  std::vector<Group> groups;
  for (std::size_t i : order) {
    groups.push_back({wanted[i], 1});
    while (groups.size() > 1) {
      const Group& upper = groups[groups.size() - 2];
      const Group& lower = groups.back();
      const double upper_length = gap * static_cast<double>(upper.size);
      if (upper.start() + upper_length <= lower.start()) break;
      const Group merged{upper.sum + lower.sum - upper_length * static_cast<double>(lower.size),
                         upper.size + lower.size};
      groups.pop_back();
      groups.back() = merged;
    }
  }
  std::size_t next = 0;
  for (const Group& group : groups)
    for (std::size_t i = 0; i < group.size; ++i)
      wanted[order[next++]] = group.start() + gap * static_cast<double>(i);
  return wanted;
}

}  // namespace pivotfix::report
