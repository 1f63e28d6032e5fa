// SPDX-License-Identifier: Apache-2.0
#include "advice/height.h"

#include <algorithm>
#include <cmath>

#include "base/problem.h"
#include "base/units.h"

namespace pivotfix {
namespace {

constexpr double sample_mm = 1.0;         // travel between samples, of curves and of the integral
constexpr double farthest_mm = 100.0;     // no stud is longer
constexpr double longest_step_mm = 20.0;  // of one iteration
constexpr double last_step_mm = 1e-8;     // the iteration is quadratic
constexpr int most_iterations = 50;
constexpr double least_effect_rad_mm = 1e-5;  // toe per height, root mean square over the travel

// Half the integral of squared toe change and its derivatives, per mm of travel.
struct Objective {
  double by_height = 0.0;
  double by_height_twice = 0.0;
  double gauss_newton = 0.0;  // the second derivative's part that is never negative
  Eigen::VectorXd by_height_and_coordinate{};
};

// Trapezoidal rule on the states of a curve.
std::vector<double> weights_of(const std::vector<CornerState>& states) {
  std::vector<double> weights(states.size(), 0.0);
  const double range = states.back().travel_mm - states.front().travel_mm;
  for (std::size_t i = 1; i < states.size(); ++i) {
    const double half = 0.5 * (states[i].travel_mm - states[i - 1].travel_mm) / range;
    weights[i - 1] += half;
    weights[i] += half;
  }
  return weights;
}

Objective objective_at(const Corner& corner, double height_mm, const Travel& travel) {
  const Corner changed = with_rod_end_height(corner, height_mm);
  const Curve curve = solve_curve(changed, travel, sample_mm);
  if (curve.states.size() < 2)
    throw Problem(ProblemKind::refused, "The wheel cannot move up or down. " + curve.ended_early,
                  "Check the hardpoints of arms and steering link for mix-ups.");
  const std::vector<double> weights = weights_of(curve.states);
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

double sigma_of(const Eigen::VectorXd& slopes, const Eigen::MatrixXd& covariance) {
  if (covariance.size() == 0) return 0.0;
  return std::sqrt(std::max(0.0, slopes.dot(covariance * slopes)));
}

CornerState state_at_ride(const Corner& corner) {
  return solve_curve(corner, {0.0, 0.0}, sample_mm).states.front();
}

}  // namespace

// Newton's method on the optimum's condition; uncertainty by differentiating that condition.
BestHeight best_height(const Corner& corner, const Travel& travel) {
  BestHeight best;
  for (int i = 0; i < most_iterations; ++i) {
    const Objective at = objective_at(corner, best.height_mm, travel);
    if (std::sqrt(at.gauss_newton) < least_effect_rad_mm) return {};
    const bool convex = at.by_height_twice > 0.1 * at.gauss_newton;
    const double step = -at.by_height / (convex ? at.by_height_twice : at.gauss_newton);
    if (std::abs(step) < last_step_mm && convex) {
      best.by_coordinate = -at.by_height_and_coordinate / at.by_height_twice;
      best.sigma_mm = sigma_of(best.by_coordinate, corner.covariance_mm2);
      best.found = true;
      return best;
    }
    best.height_mm += std::clamp(step, -longest_step_mm, longest_step_mm);
    if (std::abs(best.height_mm) > farthest_mm) break;
  }
  BestHeight none;
  none.too_far = true;
  return none;
}

std::optional<double> zero_slope_height_mm(const Corner& corner) {
  double height = 0.0;
  for (int i = 0; i < most_iterations; ++i) {
    const Corner changed = with_rod_end_height(corner, height);
    const CornerState ride = state_at_ride(changed);
    const double step =
        -ride.toe_per_travel_rad_mm / height_derivatives(changed, ride).toe_by_travel_and_height;
    if (!std::isfinite(step)) return std::nullopt;
    height += std::clamp(step, -longest_step_mm, longest_step_mm);
    if (std::abs(height) > farthest_mm) return std::nullopt;
    if (std::abs(step) < last_step_mm) return height;
  }
  return std::nullopt;
}

std::optional<double> parallel_link_height_mm(const Corner& corner) {
  // Both angles are taken in front view; the outer end moves along the stud.
  const FrontView view = front_view(corner);
  const double slope = std::tan(view.arm_angle_rad);
  const auto at = [&](const char* name) {
    const auto found = std::find_if(corner.points.begin(), corner.points.end(),
                                    [&](const Hardpoint& point) { return point.name == name; });
    return found->position_vehicle_mm;
  };
  const Eigen::Vector3d link = at("link_outer_joint") - at("link_inner_joint");
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
  result.ended_early = curve.ended_early;
  for (const CornerState& state : curve.states) {
    const double change = state.toe_rad - corner.wheel.toe_rad;
    result.travel_mm.push_back(state.travel_mm);
    result.toe_change_rad.push_back(change);
    result.toe_change_sigma_rad.push_back(
        corner.covariance_mm2.size() == 0
            ? 0.0
            : sigma_of(derivatives(changed, state).toe_by_coordinate, corner.covariance_mm2));
    result.largest_change_rad = std::max(result.largest_change_rad, std::abs(change));
    if (state.travel_mm == 0.0) result.slope_rad_mm = state.toe_per_travel_rad_mm;
  }
  const Curve inch = solve_curve(changed, {mm_per_inch, 0.0}, mm_per_inch);
  result.one_inch_change_rad = inch.ended_early.empty() ? inch.states.back().toe_rad - corner.wheel.toe_rad
                                                        : result.slope_rad_mm * mm_per_inch;
  return result;
}

}  // namespace pivotfix
