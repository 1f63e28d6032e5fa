// SPDX-License-Identifier: Apache-2.0
// Chebyshev's problem in one unknown: linearise toe over the rod end's height at every travel, solve the
// linear problem exactly, repeat. At the optimum two travels have the same weighted toe change and pull the
// height in opposite directions; differentiating that equality gives the uncertainty (derived).
#include <algorithm>
#include <cmath>

#include "advice/height_search.h"

namespace pivotfix {
namespace {

// Below this a curve is flat: no travel stands out, and the answer is that of least squares.
constexpr double flat_rad = 1e-9;

std::vector<double> roots_of_weights(const std::vector<CornerState>& states, const Driving& driving) {
  std::vector<double> roots;
  for (const CornerState& state : states)
    roots.push_back(std::sqrt(weight_at(driving.weights, state.travel_mm)));
  return roots;
}

double peak_after(const ToeByHeight& curve, const std::vector<double>& roots, double step_mm) {
  double peak = 0.0;
  for (std::size_t i = 0; i < roots.size(); ++i)
    peak = std::max(peak, roots[i] * std::abs(curve.change_rad[i] + curve.by_height[i] * step_mm));
  return peak;
}

// The peak is a convex function of the step: interval search until neighbours cannot be told apart.
double best_step_mm(const ToeByHeight& curve, const std::vector<double>& roots) {
  double low = -longest_step_mm;
  double high = longest_step_mm;
  while (high - low > 0.01 * last_step_mm) {
    const double left = low + (high - low) / 3.0;
    const double right = high - (high - low) / 3.0;
    if (peak_after(curve, roots, left) < peak_after(curve, roots, right))
      high = right;
    else
      low = left;
  }
  return 0.5 * (low + high);
}

double effect_of(const ToeByHeight& curve, const Driving& driving) {
  const std::vector<double> weights = weights_of(curve.states, driving);
  double squares = 0.0;
  for (std::size_t i = 0; i < weights.size(); ++i)
    squares += weights[i] * curve.by_height[i] * curve.by_height[i];
  return std::sqrt(squares);
}

// The travel with the largest weighted toe change among those that it pulls up (sign +1) or down (-1).
std::size_t active(const ToeByHeight& curve, const std::vector<double>& roots, double sign) {
  std::size_t best = 0;
  double largest = -1.0;
  for (std::size_t i = 0; i < roots.size(); ++i) {
    if (sign * curve.change_rad[i] * curve.by_height[i] <= 0.0) continue;
    if (roots[i] * std::abs(curve.change_rad[i]) <= largest) continue;
    largest = roots[i] * std::abs(curve.change_rad[i]);
    best = i;
  }
  return best;
}

void add_uncertainty(const Corner& corner, const Driving& driving, const ToeByHeight& curve,
                     const std::vector<double>& roots, BestHeight& best) {
  if (peak_after(curve, roots, 0.0) < flat_rad) {
    best.by_coordinate = least_squares_height(corner, driving).by_coordinate;
  } else {
    const Corner changed = with_rod_end_height(corner, best.height_mm);
    Eigen::VectorXd change;
    double by_height = 0.0;
    for (const double sign : {1.0, -1.0}) {
      const std::size_t at = active(curve, roots, sign);
      const double factor = sign * roots[at] * (curve.change_rad[at] > 0.0 ? 1.0 : -1.0);
      const Eigen::VectorXd slopes = factor * derivatives(changed, curve.states[at]).toe_by_coordinate;
      change = change.size() == 0 ? slopes : Eigen::VectorXd(change + slopes);
      by_height += factor * curve.by_height[at];
    }
    best.by_coordinate = -change / by_height;
  }
  best.sigma_mm = sigma_of(best.by_coordinate, corner.covariance_mm2);
}

}  // namespace

double weighted_peak_rad(const Corner& corner, double height_mm, const Driving& driving) {
  const ToeByHeight curve = toe_by_height(corner, height_mm, driving.travel);
  return peak_after(curve, roots_of_weights(curve.states, driving), 0.0);
}

BestHeight smallest_peak_height(const Corner& corner, const Driving& driving) {
  BestHeight best;
  for (int i = 0; i < most_iterations; ++i) {
    const ToeByHeight curve = toe_by_height(corner, best.height_mm, driving.travel);
    if (effect_of(curve, driving) < least_effect_rad_mm) return {};
    const std::vector<double> roots = roots_of_weights(curve.states, driving);
    const double step = best_step_mm(curve, roots);
    best.height_mm += step;
    if (std::abs(best.height_mm) > farthest_mm) return too_far_away();
    if (std::abs(step) > 100.0 * last_step_mm) continue;
    add_uncertainty(corner, driving, curve, roots, best);
    best.found = true;
    return best;
  }
  return too_far_away();
}

}  // namespace pivotfix
