// SPDX-License-Identifier: Apache-2.0
// The report's pictures. Each is empty markup when its input is absent.
#pragma once

#include <Eigen/Core>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "page/markup.h"
#include "page/svg.h"
#include "report/report.h"

namespace pivotfix::report {

// What "after the change" means in pictures and tables: the best stack, the best height without stacks, or
// everything left as it is where no change is worth making.
struct Plan {
  bool is_stack = false;
  double height_change_mm = 0.0;
  double sigma_mm = 0.0;  // a stack's height is what it is: zero
  ToeCurve curve{};
  // "with the chosen stack", "at the best height", "at the chosen height", "left as it is"
  std::string name{};
  Stack stack{};
};
Plan plan_of(const Advice& advice);
// Whether the best height is another than the plan's, and worth a line of its own.
bool best_is_another(const Advice& advice);

// What the page's slider can show in the plan's place, from the lowest rod end to the highest; without an
// exploration the plan alone.
struct Plans {
  std::vector<Plan> plans{};
  std::size_t suggested = 0;  // what stands there first, and on paper
};
Plans plans_of(const ReportInput& input);

// Draws once for each plan; the page shows the chosen one.
void in_each_plan(Picture& picture, const Plans& plans, const std::function<void(const Plan&)>& draw);

// Where the front view shows the rod end when it is moved along its stud.
Eigen::Vector2d rod_end_at(const ReportInput& input, double height_change_mm);

// What is bolted on from top to bottom, now and after, spacers to scale.
Markup stack_picture(const ReportInput& input);

// The corner in true shape at ride height, seen from ahead.
Markup front_view_picture(const ReportInput& input);

// The same from the side and from above; joints have the class "joint-of-view".
Markup side_view_picture(const ReportInput& input);
Markup plan_view_picture(const ReportInput& input);

// The link's line, the line to the instant centre and the arm's direction at the rod end, opened up so that
// a degree can be seen.
Markup angle_picture(const ReportInput& input);

// Toe change (across) against wheel travel (upwards, as the wheel goes).
Markup toe_picture(const ReportInput& input);

// Lines of equal best rod-end height and of equal toe change over two changes.
Markup contour_picture(const Sweep& sweep);

// Points of the real side in the front view: y to the left, z up. Advice is for the mirrored left corner, so
// its y changes sign for right corners.
struct FrontViewPoints {
  double outboard_sign = 1.0;  // of y
  // Of two links the middle, as if they were an arm.
  Eigen::Vector2d arm_inner = Eigen::Vector2d::Zero();
  Eigen::Vector2d lower_ball_joint = Eigen::Vector2d::Zero();
  Eigen::Vector2d upper_inner = Eigen::Vector2d::Zero();  // upper arm's axis, or the strut's top mount
  Eigen::Vector2d upper_outer = Eigen::Vector2d::Zero();  // upper ball joint, or the strut's lower end
  // What is drawn of them: one line for an arm or a strut, one for each link.
  struct Part {
    Eigen::Vector2d inner = Eigen::Vector2d::Zero();
    Eigen::Vector2d outer = Eigen::Vector2d::Zero();
  };
  std::vector<Part> lower_parts{};
  std::vector<Part> upper_parts{};
  Eigen::Vector2d link_inner = Eigen::Vector2d::Zero();
  Eigen::Vector2d rod_end_now = Eigen::Vector2d::Zero();
  Eigen::Vector2d wheel_centre = Eigen::Vector2d::Zero();
  std::optional<Eigen::Vector2d> instant_centre{};
};
// Empty when a hardpoint is missing.
std::optional<FrontViewPoints> front_view_points(const ReportInput& input);

}  // namespace pivotfix::report
