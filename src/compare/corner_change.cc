// SPDX-License-Identifier: Apache-2.0
#include "compare/corner_change.h"

#include <cmath>
#include <limits>

#include "advice/height.h"
#include "base/units.h"
#include "corner/front_view.h"

namespace pivotfix {
namespace {

using Eigen::VectorXd;

// Figures of one corner that are told before and after.
struct FiguresOfOne {
  Uncertain arm_angle_rad{}, link_angle_rad{}, mismatch_rad{}, effective_mismatch_rad{};
  Uncertain toe_rad{}, camber_rad{}, caster_rad{}, inclination_rad{};
  Uncertain best_height_mm{}, one_inch_toe_rad{}, camber_gain_rad{};
  bool best_height_found = false;
  ToeCurve curve{};
  std::vector<double> camber_change_rad{}, camber_sigma_rad{};
};

FiguresOfOne figures_of(const HardpointSet& set, const Driving& driving) {
  const Corner corner = make_corner(set);
  const Eigen::MatrixXd& covariance = corner.covariance_mm2;
  const auto known = [&](double value, const VectorXd& slopes) {
    return Uncertain{value, sigma_of(slopes, covariance)};
  };
  FiguresOfOne result;
  const FrontView view = front_view(corner);
  const FrontViewDerivatives slopes = front_view_derivatives(corner);
  result.arm_angle_rad = known(view.arm_angle_rad, slopes.arm_angle);
  result.link_angle_rad = known(view.link_angle_rad, slopes.link_angle);
  result.mismatch_rad = known(view.mismatch_rad, slopes.link_angle - slopes.arm_angle);
  result.effective_mismatch_rad = known(view.effective_mismatch_rad, slopes.effective_mismatch);
  constexpr double unread = std::numeric_limits<double>::quiet_NaN();
  result.toe_rad = {corner.wheel.toe_is_known ? corner.wheel.toe_rad : unread, 0.0};
  result.camber_rad = {corner.wheel.camber_is_known ? corner.wheel.camber_rad : unread,
                       corner.wheel.camber_sigma_rad};
  const CornerState ride = solve_state(corner, 0.0);
  const Figures at_ride = figures(corner, ride);
  const Eigen::MatrixXd by_coordinate = figure_derivatives(corner, ride);
  const auto figure = [&](Figure which) {
    return known(at_ride[which], by_coordinate.row(static_cast<Eigen::Index>(which)).transpose());
  };
  result.caster_rad = figure(Figure::caster);
  result.inclination_rad = figure(Figure::inclination);
  const BestHeight best = best_height(corner, driving);
  result.best_height_found = best.found;
  if (best.found) result.best_height_mm = {best.height_mm, best.sigma_mm};
  const CornerState inch_up = solve_state(corner, mm_per_inch);
  const StateDerivatives at_inch = derivatives(corner, inch_up);
  result.one_inch_toe_rad = known(inch_up.toe_rad - corner.wheel.toe_rad, at_inch.toe_by_coordinate);
  result.camber_gain_rad = known(inch_up.camber_rad - corner.wheel.camber_rad, at_inch.camber_by_coordinate);
  result.curve = toe_curve("", corner, 0.0, driving.travel);
  for (const double travel_mm : result.curve.travel_mm) {
    const CornerState state = solve_state(corner, travel_mm);
    const Uncertain camber =
        known(state.camber_rad - corner.wheel.camber_rad, derivatives(corner, state).camber_by_coordinate);
    result.camber_change_rad.push_back(camber.value);
    result.camber_sigma_rad.push_back(camber.sigma);
  }
  return result;
}

BeforeAfter change_of(const Uncertain& before, const Uncertain& after) {
  return {before, after, {after.value - before.value, std::hypot(before.sigma, after.sigma)}};
}

}  // namespace

CornerChange corner_change(const HardpointSet& before, const HardpointSet& after) {
  const Driving driving = before.driving.value_or(Driving{});
  const FiguresOfOne first = figures_of(before, driving), second = figures_of(after, driving);
  const auto change = [&](auto field) { return change_of(first.*field, second.*field); };
  CornerChange result;
  result.arm_angle_rad = change(&FiguresOfOne::arm_angle_rad);
  result.link_angle_rad = change(&FiguresOfOne::link_angle_rad);
  result.mismatch_rad = change(&FiguresOfOne::mismatch_rad);
  result.effective_mismatch_rad = change(&FiguresOfOne::effective_mismatch_rad);
  result.toe_rad = change(&FiguresOfOne::toe_rad);
  result.camber_rad = change(&FiguresOfOne::camber_rad);
  result.caster_rad = change(&FiguresOfOne::caster_rad);
  result.inclination_rad = change(&FiguresOfOne::inclination_rad);
  result.best_height_mm = change(&FiguresOfOne::best_height_mm);
  result.best_height_found = first.best_height_found && second.best_height_found;
  result.one_inch_toe_rad = change(&FiguresOfOne::one_inch_toe_rad);
  result.camber_gain_rad = change(&FiguresOfOne::camber_gain_rad);
  result.toe_before = first.curve;
  result.toe_after = second.curve;
  result.camber_before_rad = first.camber_change_rad;
  result.camber_after_rad = second.camber_change_rad;
  result.camber_before_sigma_rad = first.camber_sigma_rad;
  result.camber_after_sigma_rad = second.camber_sigma_rad;
  return result;
}

}  // namespace pivotfix
