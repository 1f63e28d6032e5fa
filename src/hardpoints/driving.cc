// SPDX-License-Identifier: Apache-2.0
#include "hardpoints/driving.h"

#include <algorithm>
#include <cmath>

#include "base/problem.h"
#include "base/units.h"

namespace pivotfix {

// Common practice: a street car is looked at over an inch and a half, a lowered or track car over two inches.
// A standing start lifts the front by three inches, and there toe change costs most. The one-inch check reads
// toe at ride height and one inch up.
const std::vector<Driving>& known_drivings() {
  static const std::vector<Driving> drivings = {
      {"street", {40.0, 40.0}, {}},
      {"track", {50.0, 50.0}, {}},
      {"standing-start", {25.0, 75.0}, {{-10.0, 2.0}, {0.0, 1.0}}},
      {"one-inch", {mm_per_inch, 0.0}, {}},
  };
  return drivings;
}

Driving driving_named(std::string_view name) {
  std::string known;
  for (const Driving& driving : known_drivings()) {
    if (driving.name == name) return driving;
    known += (known.empty() ? "'" : ", '") + driving.name + "'";
  }
  throw Problem(ProblemKind::input, "'" + std::string(name) + "' is no known way of driving.",
                "Known are " + known + "; or give bump and droop yourself.");
}

double weight_at(const std::vector<TravelWeight>& weights, double travel_mm) {
  if (weights.empty()) return 1.0;
  const auto above =
      std::lower_bound(weights.begin(), weights.end(), travel_mm,
                       [](const TravelWeight& point, double travel) { return point.travel_mm < travel; });
  if (above == weights.begin()) return above->weight;
  if (above == weights.end()) return weights.back().weight;
  const TravelWeight& below = *(above - 1);
  const double share = (travel_mm - below.travel_mm) / (above->travel_mm - below.travel_mm);
  return std::lerp(below.weight, above->weight, share);
}

}  // namespace pivotfix
