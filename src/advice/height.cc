// SPDX-License-Identifier: Apache-2.0
#include "advice/height.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "advice/height_search.h"
#include "base/units.h"
#include "corner/camber.h"
#include "corner/front_view.h"

namespace pivotfix {
namespace {

constexpr double last_rough_step_mm = 1e-3;  // from here on with second derivatives

// Half the weighted mean of squared toe change and its derivatives, per mm of travel.
struct Objective {
  double by_height = 0.0;
  double by_height_twice = 0.0;
  double gauss_newton = 0.0;  // the second derivative's part that is never negative
  Eigen::VectorXd by_height_and_coordinate{};
};

Objective objective_at(const Corner& corner, double height_mm, const Driving& driving) {
  const Corner changed = with_rod_end_height(corner, height_mm);
  const Curve curve = sampled_curve(changed, driving.travel);
  const std::vector<double> weights = weights_of(curve.states, driving);
  Objective result;
  result.by_height_and_coordinate =
      Eigen::VectorXd::Zero(static_cast<Eigen::Index>(3 * corner.points.size()));
  for (std::size_t i = 0; i < curve.states.size(); ++i) {
    const HeightDerivatives slopes = height_derivatives(changed, curve.states[i]);
    const double toe = curve.states[i].toe_rad - corner.wheel.toe_rad;
    result.by_height += weights[i] * toe * slopes.toe_by_height;
    result.gauss_newton += weights[i] * slopes.toe_by_height * slopes.toe_by_height;
    result.by_height_twice +=
        weights[i] * (slopes.toe_by_height * slopes.toe_by_height + toe * slopes.toe_by_height_twice);
    result.by_height_and_coordinate += weights[i] * (slopes.toe_by_height * slopes.toe_by_coordinate +
                                                     toe * slopes.toe_by_coordinate_and_height);
  }
  return result;
}

// The same without second derivatives: rough, but a fraction of the work.
Objective rough_objective_at(const Corner& corner, double height_mm, const Driving& driving) {
  const ToeByHeight curve = toe_by_height(corner, height_mm, driving.travel);
  const std::vector<double> weights = weights_of(curve.states, driving);
  Objective result;
  for (std::size_t i = 0; i < weights.size(); ++i) {
    result.by_height += weights[i] * curve.change_rad[i] * curve.by_height[i];
    result.gauss_newton += weights[i] * curve.by_height[i] * curve.by_height[i];
  }
  return result;
}

CornerState state_at_ride(const Corner& corner) {
  return solve_curve(corner, {0.0, 0.0}, sample_mm).states.front();
}

// By points and camber.
double toe_change_sigma_rad(const Corner& corner, const CornerState& state) {
  if (corner.covariance_mm2.size() == 0) return 0.0;
  const StateDerivatives slopes = derivatives(corner, state);
  return std::hypot(sigma_of(slopes.toe_by_coordinate, corner.covariance_mm2),
                    slopes.toe_by_camber * camber_sigma_rad(corner.wheel));
}

}  // namespace

// Gauss-Newton to the neighbourhood, then Newton's method on the optimum's condition; uncertainty by
// differentiating that condition.
BestHeight least_squares_height(const Corner& corner, const Driving& driving) {
  BestHeight best;
  bool rough = true;
  for (int i = 0; i < most_iterations; ++i) {
    const Objective at = rough ? rough_objective_at(corner, best.height_mm, driving)
                               : objective_at(corner, best.height_mm, driving);
    if (std::sqrt(at.gauss_newton) < least_effect_rad_mm) return {};
    const bool convex = at.by_height_twice > 0.1 * at.gauss_newton;
    const double step = -at.by_height / (convex ? at.by_height_twice : at.gauss_newton);
    if (std::abs(step) < last_step_mm && convex) {
      best.by_coordinate = -at.by_height_and_coordinate / at.by_height_twice;
      best.sigma_mm = sigma_of(best.by_coordinate, corner.covariance_mm2);
      best.found = true;
      return best;
    }
    if (std::abs(step) < last_rough_step_mm) rough = false;
    best.height_mm += std::clamp(step, -longest_step_mm, longest_step_mm);
    if (std::abs(best.height_mm) > farthest_mm) break;
  }
  return too_far_away();
}

// The slope is zero exactly when the effective mismatch is (see corner.h), which has derivatives with respect
// to every coordinate, the rod end's height among them.
BestHeight zero_slope_height(const Corner& corner) {
  BestHeight best;
  for (int i = 0; i < most_iterations; ++i) {
    const Corner changed = with_rod_end_height(corner, best.height_mm);
    const CornerState ride = state_at_ride(changed);
    const double step =
        -ride.toe_per_travel_rad_mm / height_derivatives(changed, ride).toe_by_travel_and_height;
    if (!std::isfinite(step)) return {};
    best.height_mm += std::clamp(step, -longest_step_mm, longest_step_mm);
    if (std::abs(best.height_mm) > farthest_mm) return too_far_away();
    if (std::abs(step) > last_step_mm) continue;
    const Eigen::VectorXd mismatch =
        front_view_derivatives(with_rod_end_height(corner, best.height_mm)).effective_mismatch;
    best.by_coordinate =
        -mismatch / mismatch.segment<3>(outer_joint_coordinate(corner)).dot(corner.stud_axis_vehicle);
    best.sigma_mm = sigma_of(best.by_coordinate, corner.covariance_mm2);
    best.found = true;
    return best;
  }
  return too_far_away();
}

BestHeight best_height(const Corner& corner, const Driving& driving) {
  if (stud_lies_level(corner)) return {};
  switch (driving.aim) {
    case HeightAim::smallest_peak:
      return smallest_peak_height(corner, driving);
    case HeightAim::zero_slope:
      return zero_slope_height(corner);
    case HeightAim::least_squares:
      break;
  }
  return least_squares_height(corner, driving);
}

double height_sigma_by_camber_mm(const Corner& corner, const Driving& driving, const BestHeight& best) {
  constexpr double rounding_mm = 1e-6;  // of the searches
  if (!best.found) return 0.0;
  const double sigma_mm = sigma_by_camber(
      with_rod_end_height(corner, best.height_mm), [&](const Corner& other) {  // starts near both optima
        const BestHeight there = best_height(other, driving);
        return there.found ? there.height_mm : std::numeric_limits<double>::quiet_NaN();
      });
  return sigma_mm > rounding_mm ? sigma_mm : 0.0;
}

std::optional<double> parallel_link_height_mm(const Corner& corner) {
  // Both angles are taken in front view; the outer end moves along the stud.
  const FrontView view = front_view(corner);
  const double slope = std::tan(view.arm_angle_rad);
  const Eigen::Vector3d link =
      point_named(corner, "link_outer_joint") - point_named(corner, "link_inner_joint");
  const Eigen::Vector3d& stud = corner.stud_axis_vehicle;
  const double height = (slope * link.y() - link.z()) / (stud.z() - slope * stud.y());
  if (!(std::abs(height) <= farthest_mm)) return std::nullopt;
  return height;
}

ToeCurve toe_curve(const std::string& title, const Corner& corner, double height_mm, const Travel& travel) {
  const Corner changed = with_rod_end_height(corner, height_mm);
  const Curve curve = solve_curve(changed, travel, sample_mm);
  ToeCurve result;
  result.title = title;
  result.rod_end_height_mm = height_mm;
  result.link_length_change_mm = link_length_mm(changed) - link_length_mm(corner);
  result.ended_early = curve.ended_early;
  for (const CornerState& state : curve.states) {
    const double change = state.toe_rad - corner.wheel.toe_rad;
    result.travel_mm.push_back(state.travel_mm);
    result.toe_change_rad.push_back(change);
    result.toe_change_sigma_rad.push_back(toe_change_sigma_rad(changed, state));
    result.largest_change_rad = std::max(result.largest_change_rad, std::abs(change));
    if (state.travel_mm == 0.0) result.slope_rad_mm = state.toe_per_travel_rad_mm;
  }
  const Curve inch = solve_curve(changed, {mm_per_inch, 0.0}, mm_per_inch);
  result.one_inch_change_rad = inch.ended_early.empty() ? inch.states.back().toe_rad - corner.wheel.toe_rad
                                                        : result.slope_rad_mm * mm_per_inch;
  return result;
}

}  // namespace pivotfix
