// SPDX-License-Identifier: Apache-2.0
// Best heights by trying: the oracle on the exact model.
#pragma once

#include <algorithm>
#include <cmath>
#include <functional>
#include <vector>

#include "advice/height.h"
#include "base/keep_larger.h"

namespace pivotfix {

inline Driving driving_of(double bump_mm, double droop_mm, HeightAim aim,
                          std::vector<TravelWeight> weights = {}) {
  return {"", {bump_mm, droop_mm}, std::move(weights), aim};
}

// A weight that is written down here once more, independent of weight_at: 3 in far droop, 1 in bump.
inline double some_weight(double travel_mm) {
  return travel_mm <= -20.0 ? 3.0 : travel_mm >= 10.0 ? 1.0 : 3.0 - 2.0 * (travel_mm + 20.0) / 30.0;
}
inline const std::vector<TravelWeight> some_weights = {{-20.0, 3.0}, {10.0, 1.0}};

// Weighted mean square and weighted peak on a grid of its own.
inline double mean_square(const Corner& corner, double height_mm, const Driving& driving) {
  const Curve curve = solve_curve(with_rod_end_height(corner, height_mm), driving.travel, 0.25);
  double sum = 0.0;
  for (std::size_t i = 1; i < curve.states.size(); ++i)
    for (const CornerState* state : {&curve.states[i - 1], &curve.states[i]}) {
      const double weight = driving.weights.empty() ? 1.0 : some_weight(state->travel_mm);
      sum += 0.5 * (curve.states[i].travel_mm - curve.states[i - 1].travel_mm) * weight *
             std::pow(state->toe_rad - corner.wheel.toe_rad, 2);
    }
  return sum;
}

inline double peak(const Corner& corner, double height_mm, const Driving& driving) {
  const Curve curve = solve_curve(with_rod_end_height(corner, height_mm), driving.travel, 0.25);
  double largest = 0.0;
  for (const CornerState& state : curve.states) {
    const double weight = driving.weights.empty() ? 1.0 : some_weight(state.travel_mm);
    largest = std::max(largest, std::sqrt(weight) * std::abs(state.toe_rad - corner.wheel.toe_rad));
  }
  return largest;
}

inline double slope(const Corner& corner, double height_mm) {
  return std::abs(solve_state(with_rod_end_height(corner, height_mm), 0.0).toe_per_travel_rad_mm);
}

// The best of a grid around zero, refined twice.
inline double brute_force(const std::function<double(double)>& cost) {
  double best = 0.0;
  double step = 2.0;
  for (int reach = 50; step > 0.002; reach = 12, step *= 0.1) {
    const double centre = best;
    double least = 1e300;
    for (int i = -reach; i <= reach; ++i) {
      const double here = cost(centre + i * step);
      if (here < least) {
        least = here;
        best = centre + i * step;
      }
    }
  }
  return best;
}

// How far the best heights of one corner are from the best of all that were tried, by aim.
struct HeightMisses {
  double least_squares_mm = 0.0;
  double smallest_peak_mm = 0.0;
  double zero_slope_mm = 0.0;

  double largest_mm() const { return std::max({least_squares_mm, smallest_peak_mm, zero_slope_mm}); }
  void include(const HeightMisses& other) {
    keep_larger(least_squares_mm, other.least_squares_mm);
    keep_larger(smallest_peak_mm, other.smallest_peak_mm);
    keep_larger(zero_slope_mm, other.zero_slope_mm);
  }
};

inline HeightMisses height_misses(const Corner& corner, double bump_mm, double droop_mm,
                                  const std::vector<TravelWeight>& weights) {
  const Driving squares = driving_of(bump_mm, droop_mm, HeightAim::least_squares, weights);
  const Driving least_peak = driving_of(bump_mm, droop_mm, HeightAim::smallest_peak, weights);
  const Driving flat = driving_of(1.0, 1.0, HeightAim::zero_slope);
  const auto miss = [&](const Driving& driving, const std::function<double(double)>& cost) {
    return std::abs(best_height(corner, driving).height_mm - brute_force(cost));
  };
  return {miss(squares, [&](double h) { return mean_square(corner, h, squares); }),
          miss(least_peak, [&](double h) { return peak(corner, h, least_peak); }),
          miss(flat, [&](double h) { return slope(corner, h); })};
}

}  // namespace pivotfix
