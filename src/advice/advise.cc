// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "advice/advice.h"
#include "advice/height.h"
#include "advice/stack.h"
#include "advice/wording.h"
#include "base/problem.h"

namespace pivotfix {
namespace {

constexpr std::size_t stacks_listed = 5;

Uncertain uncertain(double value, const Eigen::VectorXd& slopes, const Eigen::MatrixXd& covariance) {
  if (covariance.size() == 0) return {value, 0.0};
  return {value, std::sqrt(std::max(0.0, slopes.dot(covariance * slopes)))};
}

void add_front_view(const Corner& corner, Advice& advice) {
  advice.front_view = front_view(corner);
  advice.steering_axis = steering_axis(corner);
  const FrontViewDerivatives slopes = front_view_derivatives(corner);
  const Eigen::MatrixXd& covariance = corner.covariance_mm2;
  const FrontView& view = advice.front_view;
  advice.arm_angle_rad = uncertain(view.arm_angle_rad, slopes.arm_angle, covariance);
  advice.link_angle_rad = uncertain(view.link_angle_rad, slopes.link_angle, covariance);
  advice.mismatch_rad = uncertain(view.mismatch_rad, slopes.link_angle - slopes.arm_angle, covariance);
  advice.effective_mismatch_rad =
      uncertain(view.effective_mismatch_rad, slopes.effective_mismatch, covariance);
  advice.link_line_above_instant_centre_mm =
      uncertain(view.link_line_above_instant_centre_mm, slopes.link_line_above_instant_centre, covariance);
}

void add_stacks(const Corner& corner, const RodEnd& rod_end, Advice& advice) {
  advice.stacks = nearest_stacks(rod_end, advice.best_height_change_mm.value, stacks_listed);
  for (Stack& stack : advice.stacks) {
    const ToeCurve curve = toe_curve("chosen stack", corner, stack.height_change_mm, advice.travel);
    stack.largest_change_rad = curve.largest_change_rad;
    stack.one_inch_change_rad = curve.one_inch_change_rad;
    if (&stack == &advice.stacks.front()) advice.with_stack = curve;
  }
}

}  // namespace

Advice advise(const HardpointSet& set, const RodEnd& rod_end, const Travel& travel) {
  if (!(travel.bump_mm + travel.droop_mm >= 1.0))
    throw Problem(ProblemKind::input, "Bump and droop together must be at least 1 mm.",
                  "Correct the travel.");
  HardpointSet complete = set;
  complete.rod_end = rod_end;
  const Corner corner = make_corner(complete);
  Advice advice;
  advice.side = set.side;
  advice.layout = set.layout;
  advice.travel = travel;
  add_front_view(corner, advice);
  advice.now = toe_curve("as it is", corner, 0.0, travel);

  // Where the corner locks before the end of the travel, only what it can do counts.
  const Travel possible{advice.now.travel_mm.back(), -advice.now.travel_mm.front()};
  const BestHeight best = best_height(corner, possible);
  advice.best_height_change_mm = {best.height_mm, best.sigma_mm};
  advice.best = toe_curve("best height", corner, best.height_mm, travel);
  advice.parallel_link =
      toe_curve("link parallel to the arm", corner, parallel_link_height_mm(corner).value_or(0.0), travel);
  advice.zero_slope_height_change_mm = zero_slope_height_mm(corner).value_or(best.height_mm);
  if (best.found) add_stacks(corner, rod_end, advice);
  advice.sentences = sentences_of(advice, corner, rod_end, best);
  advice.warnings = warnings_of(advice, corner, rod_end, best);
  return advice;
}

}  // namespace pivotfix
