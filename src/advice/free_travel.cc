// SPDX-License-Identifier: Apache-2.0
#include "advice/free_travel.h"

#include <algorithm>
#include <cmath>

#include "advice/height_search.h"
#include "advice/toe_at.h"
#include "advice/wording.h"

namespace pivotfix {
namespace {

constexpr double rounding_mm = 1e-6;
constexpr double earlier_mm = 1.0;  // the curves' points are no nearer to each other

bool ends_before(double then_mm, double now_mm) {
  return then_mm <= now_mm - earlier_mm + rounding_mm;
}

std::string end_words(double then_mm, double now_mm, double asked_mm, const char* way) {
  if (!ends_before(then_mm, now_mm)) return {};
  const bool free = now_mm >= asked_mm - rounding_mm;
  return mm_words(std::floor(then_mm + rounding_mm), 0) + " of " + way +
         (free ? " (today: free to " + round_mm_words(asked_mm)
               : " (today: at " + mm_words(std::floor(now_mm + rounding_mm), 0)) +
         ")";
}

}  // namespace

Travel reach_of(const ToeCurve& curve) {
  return {curve.travel_mm.back(), -curve.travel_mm.front()};
}

Travel reach_at(const Corner& corner, double height_mm, const Travel& asked) {
  const Curve curve = solve_curve(with_rod_end_height(corner, height_mm), asked, sample_mm);
  return {curve.states.back().travel_mm, -curve.states.front().travel_mm};
}

bool locks_before(const Travel& then, const Travel& now) {
  return ends_before(then.bump_mm, now.bump_mm) || ends_before(then.droop_mm, now.droop_mm);
}

std::string locks_at_words(const Travel& then, const Travel& now, const Travel& asked) {
  const std::string bump = end_words(then.bump_mm, now.bump_mm, asked.bump_mm, "bump");
  const std::string droop = end_words(then.droop_mm, now.droop_mm, asked.droop_mm, "droop");
  return bump + (bump.empty() || droop.empty() ? "" : " and at ") + droop;
}

Travel reached_by_both(const ToeCurve& one, const ToeCurve& other, const Travel& asked) {
  const auto end = [](double asked_mm, double one_mm, double other_mm) {
    const double reached_mm = std::min(one_mm, other_mm);
    return reached_mm < asked_mm - rounding_mm ? std::floor(reached_mm + rounding_mm) : asked_mm;
  };
  const Travel first = reach_of(one);
  const Travel second = reach_of(other);
  return {end(asked.bump_mm, first.bump_mm, second.bump_mm),
          end(asked.droop_mm, first.droop_mm, second.droop_mm)};
}

double largest_change_rad(const ToeCurve& curve, const Travel& travel) {
  double largest_rad = 0.0;
  for (std::size_t i = 0; i < curve.travel_mm.size(); ++i)
    if (curve.travel_mm[i] >= -travel.droop_mm && curve.travel_mm[i] <= travel.bump_mm)
      largest_rad = std::max(largest_rad, std::abs(curve.toe_change_rad[i]));
  // The ends lie between two of the curve's points where it locks elsewhere.
  for (const double end_mm : {-travel.droop_mm, travel.bump_mm})
    if (const auto toe = toe_at(curve, end_mm)) largest_rad = std::max(largest_rad, std::abs(toe->toe_rad));
  return largest_rad;
}

}  // namespace pivotfix
