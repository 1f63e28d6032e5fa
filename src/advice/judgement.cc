// SPDX-License-Identifier: Apache-2.0
#include "advice/judgement.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "advice/free_travel.h"
#include "advice/spacer_kinds.h"
#include "advice/stack.h"
#include "advice/toe_at.h"
#include "advice/wording.h"
#include "base/units.h"

namespace pivotfix {
namespace {

// What the first stack leaves of the figure that the aim is judged by, beyond what the best height leaves:
// of toe change per inch at ride height, or of the largest toe change over the travel that both curves have.
double left_over_rad(const Advice& advice) {
  const ToeCurve& stack = advice.with_stack;
  const ToeCurve& best = advice.best;
  if (advice.driving.aim == HeightAim::zero_slope)
    return (std::abs(stack.slope_rad_mm) - std::abs(best.slope_rad_mm)) * mm_per_inch;
  const Travel reached = reached_by_both(stack, best, advice.travel);
  return largest_change_rad(stack, reached) - largest_change_rad(best, reached);
}

// Weighted toe at each travel that both curves have: of the first one, or of the second one there.
struct WeightedToe {
  std::vector<double> travel_mm{};
  std::vector<double> one_rad{};
  std::vector<double> other_rad{};
};

WeightedToe weighted_toe(const ToeCurve& one, const ToeCurve& other, const Driving& driving) {
  WeightedToe toe;
  for (std::size_t i = 0; i < one.travel_mm.size(); ++i) {
    const std::optional<ToeAt> there = toe_at(other, one.travel_mm[i]);
    if (!there) continue;
    const double root = std::sqrt(weight_at(driving.weights, one.travel_mm[i]));
    toe.travel_mm.push_back(one.travel_mm[i]);
    toe.one_rad.push_back(root * one.toe_change_rad[i]);
    toe.other_rad.push_back(root * there->toe_rad);
  }
  return toe;
}

double largest(const std::vector<double>& toe_rad) {
  double result = 0.0;
  for (const double toe : toe_rad) result = std::max(result, std::abs(toe));
  return result;
}

// Trapezoidal rule, as the best height is found.
double sum_of_squares(const std::vector<double>& travel_mm, const std::vector<double>& toe_rad) {
  double sum = 0.0;
  for (std::size_t i = 1; i < travel_mm.size(); ++i)
    sum +=
        0.5 * (travel_mm[i] - travel_mm[i - 1]) * (toe_rad[i] * toe_rad[i] + toe_rad[i - 1] * toe_rad[i - 1]);
  return sum;
}

}  // namespace

bool shows_in_toe(const ToeCurve& now, const ToeCurve& then) {
  constexpr double read_rad = 0.02 * rad_per_deg;  // nobody reads toe finer (common practice)
  for (std::size_t i = 0; i < now.travel_mm.size(); ++i)
    if (const std::optional<ToeAt> there = toe_at(then, now.travel_mm[i]))
      if (std::abs(there->toe_rad - now.toe_change_rad[i]) >= read_rad) return true;
  return false;
}

bool is_flatter(const ToeCurve& then, const ToeCurve& now, const Driving& driving) {
  if (driving.aim == HeightAim::zero_slope) return std::abs(then.slope_rad_mm) < std::abs(now.slope_rad_mm);
  const WeightedToe toe = weighted_toe(then, now, driving);
  if (driving.aim == HeightAim::smallest_peak) return largest(toe.one_rad) < largest(toe.other_rad);
  return sum_of_squares(toe.travel_mm, toe.one_rad) < sum_of_squares(toe.travel_mm, toe.other_rad);
}

bool worth_changing(const Advice& advice, const RodEnd& rod_end) {
  const bool new_necks = rod_end.high_misalignment && !rod_end.high_misalignment->on_car;
  if (new_necks) return true;
  if (std::abs(advice.best_height_change_mm.value) < advice.best_height_change_mm.sigma) return false;
  return shows_in_toe(advice.now, advice.best);
}

bool first_stack_helps(const Advice& advice) {
  return shows_in_toe(advice.now, advice.with_stack) &&
         is_flatter(advice.with_stack, advice.now, advice.driving);
}

bool steeper_at_ride_height(const ToeCurve& then, const ToeCurve& now) {
  constexpr double grows_rad = 0.01 * rad_per_deg;
  return (std::abs(then.slope_rad_mm) - std::abs(now.slope_rad_mm)) * mm_per_inch > grows_rad;
}

bool worse_than_now(const Advice& advice) {
  return advice.worth_changing && !advice.stacks.empty() && advice.must_change != MustChange::no &&
         shows_in_toe(advice.now, advice.with_stack) &&
         is_flatter(advice.now, advice.with_stack, advice.driving);
}

std::optional<Stack> stack_that_may_stay(const Advice& advice, const RodEnd& rod_end) {
  if (advice.must_change == MustChange::no) {
    Stack stack = advice.stack_now;
    stack.short_of_best_mm = -advice.best_height_change_mm.value;
    return stack;
  }
  if (advice.must_change != MustChange::total) return std::nullopt;
  // The other side alone may bring the total.
  std::vector<Stack> stacks = nearest_stacks(rod_end, 0.0, 1);
  if (stacks.empty() || std::abs(stacks.front().height_change_mm) > grid_mm) return std::nullopt;
  stacks.front().short_of_best_mm = stacks.front().height_change_mm - advice.best_height_change_mm.value;
  return stacks.front();
}

NearEnough how_near_enough(const Advice& advice) {
  constexpr double hardly_read_rad = 0.05 * rad_per_deg;
  const double doubt_mm = 2.0 * advice.best_height_change_mm.sigma;
  if (advice.wanted_part.short_by_mm < std::min(doubt_mm, 2.0 * near_enough_mm))
    return NearEnough::within_doubt;
  return left_over_rad(advice) < hardly_read_rad ? NearEnough::hardly_shows : NearEnough::no;
}

}  // namespace pivotfix
