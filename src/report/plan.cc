// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <numeric>

#include "report/pictures.h"

namespace pivotfix::report {
namespace {

constexpr const char* with_stack = "with the chosen stack";

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

using Part = FrontViewPoints::Part;

// An arm as drawn, and what is drawn in its place.
struct ArmView {
  Part middle{};
  std::vector<Part> parts{};
};

std::optional<ArmView> arm_view(const HardpointSet& set, const std::string& level) {
  const auto front_pivot = found(set, level + "_arm_front_pivot");
  const auto rear_pivot = found(set, level + "_arm_rear_pivot");
  const auto ball_joint = found(set, level + "_ball_joint");
  if (!front_pivot || !rear_pivot || !ball_joint) return std::nullopt;
  const Part arm{axis_in_front_view(*front_pivot, *rear_pivot, ball_joint->x()), front(*ball_joint)};
  return ArmView{arm, {arm}};
}

std::optional<ArmView> links_view(const HardpointSet& set, const std::string& level) {
  const auto front_inner = found(set, level + "_front_link_inner_joint");
  const auto front_outer = found(set, level + "_front_link_outer_joint");
  const auto rear_inner = found(set, level + "_rear_link_inner_joint");
  const auto rear_outer = found(set, level + "_rear_link_outer_joint");
  if (!front_inner || !front_outer || !rear_inner || !rear_outer) return std::nullopt;
  const Eigen::Vector3d outer = 0.5 * (*front_outer + *rear_outer);
  return ArmView{{axis_in_front_view(*front_inner, *rear_inner, outer.x()), front(outer)},
                 {{front(*front_inner), front(*front_outer)}, {front(*rear_inner), front(*rear_outer)}}};
}

std::optional<ArmView> strut_view(const HardpointSet& set) {
  const auto top = found(set, "strut_top_mount");
  const auto low = found(set, "strut_axis_low");
  if (!top || !low) return std::nullopt;
  const Part strut{front(*top), front(*low)};
  return ArmView{strut, {strut}};
}

std::optional<ArmView> lower_view(const HardpointSet& set) {
  return has_lower_links(set.layout) ? links_view(set, "lower") : arm_view(set, "lower");
}

std::optional<ArmView> upper_view(const HardpointSet& set) {
  if (has_strut(set.layout)) return strut_view(set);
  return has_upper_links(set.layout) ? links_view(set, "upper") : arm_view(set, "upper");
}

}  // namespace

Plan plan_of(const Advice& advice) {
  if (advice.found && !advice.worth_changing)
    return {!advice.stacks.empty(), 0.0, 0.0, advice.now, "left as it is", advice.stack_now};
  if (!advice.stacks.empty())
    return {true,       advice.stacks.front().height_change_mm,
            0.0,        advice.with_stack,
            with_stack, advice.stacks.front()};
  return {false,
          advice.best_height_change_mm.value,
          advice.best_height_change_mm.sigma,
          advice.best,
          advice.found ? "at the best height" : "unchanged",
          {}};
}

bool best_is_another(const Advice& advice) {
  return advice.found && (!advice.stacks.empty() || !advice.worth_changing);
}

Plans plans_of(const ReportInput& input) {
  const Plan own = plan_of(input.advice);
  if (!input.exploration || input.exploration->choices.empty()) return {{own}, 0};
  const Exploration& exploration = *input.exploration;
  Plans plans{{}, exploration.suggested};
  const std::string name = own.is_stack ? with_stack : "at the chosen height";
  for (const RodEndChoice& choice : exploration.choices)
    plans.plans.push_back(
        {own.is_stack, choice.stack.height_change_mm, 0.0, choice.curve, name, choice.stack});
  plans.plans[plans.suggested].sigma_mm = own.sigma_mm;
  plans.plans[plans.suggested].name = own.name;
  return plans;
}

void in_each_plan(Picture& picture, const Plans& plans, const std::function<void(const Plan&)>& draw) {
  if (plans.plans.size() == 1) return draw(plans.plans.front());
  for (std::size_t i = 0; i < plans.plans.size(); ++i)
    picture.group(
        {{"class", i == plans.suggested ? "choice chosen" : "choice"}, {"data-choice", std::to_string(i)}},
        [&] { draw(plans.plans[i]); });
}

Eigen::Vector2d rod_end_at(const ReportInput& input, double height_change_mm) {
  const auto joint = found(input.hardpoints, "link_outer_joint").value_or(Eigen::Vector3d::Zero());
  return front(joint + height_change_mm * input.rod_end.stud_axis_vehicle);
}

std::optional<FrontViewPoints> front_view_points(const ReportInput& input) {
  const HardpointSet& set = input.hardpoints;
  const auto lower = lower_view(set);
  const auto upper = upper_view(set);
  const auto link_inner = found(set, "link_inner_joint");
  const auto link_outer = found(set, "link_outer_joint");
  const auto wheel_centre = found(set, "wheel_centre");
  if (!lower || !upper || !link_inner || !link_outer || !wheel_centre) return std::nullopt;

  FrontViewPoints points;
  points.outboard_sign = set.side == Side::left ? 1.0 : -1.0;
  points.arm_inner = lower->middle.inner;
  points.lower_ball_joint = lower->middle.outer;
  points.lower_parts = lower->parts;
  points.upper_inner = upper->middle.inner;
  points.upper_outer = upper->middle.outer;
  points.upper_parts = upper->parts;
  points.link_inner = front(*link_inner);
  points.rod_end_now = front(*link_outer);
  points.wheel_centre = front(*wheel_centre);
  const FrontView& view = input.advice.front_view;
  if (!view.arms_parallel)
    points.instant_centre =
        Eigen::Vector2d(points.outboard_sign * view.instant_centre_yz_mm.x(), view.instant_centre_yz_mm.y());
  return points;
}

}  // namespace pivotfix::report
