// SPDX-License-Identifier: Apache-2.0
#include "advice/free_travel.h"

#include <algorithm>
#include <cmath>

#include "advice/toe_at.h"

namespace pivotfix {
namespace {

constexpr double rounding_mm = 1e-6;

}  // namespace

Travel reach_of(const ToeCurve& curve) {
  return {curve.travel_mm.back(), -curve.travel_mm.front()};
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
