// SPDX-License-Identifier: Apache-2.0
#include "advice/judgement.h"

#include <algorithm>
#include <cmath>

#include "advice/wording.h"
#include "base/units.h"

namespace pivotfix {
namespace {

// What the first stack leaves of the figure that the aim is judged by, beyond what the best height leaves:
// of toe change per inch at ride height, or of the largest toe change over the travel.
double left_over_rad(const Advice& advice) {
  const ToeCurve& stack = advice.with_stack;
  const ToeCurve& best = advice.best;
  if (advice.driving.aim == HeightAim::zero_slope)
    return (std::abs(stack.slope_rad_mm) - std::abs(best.slope_rad_mm)) * mm_per_inch;
  return stack.largest_change_rad - best.largest_change_rad;
}

}  // namespace

NearEnough how_near_enough(const Advice& advice) {
  constexpr double hardly_read_rad = 0.05 * rad_per_deg;
  const double doubt_mm = 2.0 * advice.best_height_change_mm.sigma;
  if (advice.wanted_part.short_by_mm < std::min(doubt_mm, 2.0 * near_enough_mm))
    return NearEnough::within_doubt;
  return left_over_rad(advice) < hardly_read_rad ? NearEnough::hardly_shows : NearEnough::no;
}

}  // namespace pivotfix
