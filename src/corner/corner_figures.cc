// SPDX-License-Identifier: Apache-2.0
#include "corner/corner_figures.h"

#include <algorithm>
#include <cmath>

#include "base/problem.h"
#include "corner/camber.h"

namespace pivotfix {
namespace {

constexpr int roll_steps_each_side = 3;
constexpr int steer_steps_each_side = 4;
constexpr double rounding = 1e-12;  // mm or rad; no uncertainty of a measured corner is as small

// What camber's own uncertainty adds. Of a camber that nobody read only the change is told.
void add_camber(const Corner& corner, const CornerState& state, std::array<double, figure_count>& sigmas) {
  const double sigma_rad = camber_sigma_rad(corner.wheel);
  if (sigma_rad == 0.0) return;
  const Figures more = figures(with_camber_changed(corner, sigma_rad), state);
  const Figures less = figures(with_camber_changed(corner, -sigma_rad), state);
  for (std::size_t i = 0; i < figure_count; ++i) {
    double by_camber = 0.5 * (more.values[i] - less.values[i]);
    if (static_cast<Figure>(i) == Figure::camber && !corner.wheel.camber_is_known) by_camber -= sigma_rad;
    sigmas[i] = std::hypot(sigmas[i], by_camber);
  }
}

std::array<double, figure_count> sigmas_at(const Corner& corner, const CornerState& state) {
  std::array<double, figure_count> sigmas{};
  if (corner.covariance_mm2.size() == 0) return sigmas;
  const Eigen::MatrixXd by_coordinate = figure_derivatives(corner, state);
  const Eigen::MatrixXd common = by_coordinate * corner.covariance_mm2;
  for (Eigen::Index i = 0; i < common.rows(); ++i)
    sigmas[static_cast<std::size_t>(i)] = std::sqrt(std::max(0.0, common.row(i).dot(by_coordinate.row(i))));
  add_camber(corner, state, sigmas);
  for (double& sigma : sigmas)
    if (!(sigma > rounding)) sigma = 0.0;
  return sigmas;
}

// States from `from` on towards the end of the range, until the corner locks; then why.
template <typename Iterator>
std::string follow(const Corner& corner, double rack_mm, Iterator from, Iterator end,
                   std::vector<FiguresAt>& states) {
  try {
    for (; from != end; ++from) {
      const CornerState state = solve_state(corner, *from, rack_mm);
      states.push_back({*from, figures(corner, state), sigmas_at(corner, state)});
    }
  } catch (const Problem& problem) {
    if (problem.kind() != ProblemKind::refused) throw;
    return problem.what_happened();
  }
  return {};
}

FigureCurve figure_curve(const Corner& corner, const std::vector<double>& travels_mm, double outboard_mm) {
  const auto ride = std::find(travels_mm.begin(), travels_mm.end(), 0.0);
  FigureCurve curve;
  const std::string below = follow(corner, outboard_mm, std::make_reverse_iterator(std::next(ride)),
                                   travels_mm.rend(), curve.states);
  std::reverse(curve.states.begin(), curve.states.end());
  const std::string above =
      curve.states.empty() ? std::string()
                           : follow(corner, outboard_mm, std::next(ride), travels_mm.end(), curve.states);
  curve.ended_early = below.empty() || above.empty() ? below + above : below + " " + above;
  return curve;
}

std::vector<double> with_ride_height(std::vector<double> travels_mm) {
  travels_mm.push_back(0.0);
  std::sort(travels_mm.begin(), travels_mm.end());
  travels_mm.erase(std::unique(travels_mm.begin(), travels_mm.end()), travels_mm.end());
  return travels_mm;
}

}  // namespace

const FiguresAt* FigureCurve::at_ride_height() const {
  for (const FiguresAt& state : states)
    if (state.travel_mm == 0.0) return &state;
  return nullptr;
}

CornerFigures corner_figures(const FigureQuestion& question) {
  const HardpointSet& own = question.hardpoints;
  const Axle axle = question.other_corner ? make_axle(own, *question.other_corner) : make_axle(own);
  const Corner& corner = own.side == Side::left ? axle.left : axle.right;
  const double outboard = own.side == Side::left ? 1.0 : -1.0;
  const std::vector<double> travels_mm = with_ride_height(question.travels_mm);

  CornerFigures result;
  result.side = own.side;
  result.mirrored = !question.other_corner;
  result.straight_ahead = figure_curve(corner, travels_mm, 0.0);
  Corner without_covariance = corner;
  without_covariance.covariance_mm2.resize(0, 0);
  for (const double rack_mm : question.racks_mm) {
    result.rack_held.push_back(figure_curve(without_covariance, travels_mm, outboard * rack_mm));
    result.rack_held.back().rack_mm = rack_mm;
  }
  result.roll = roll_curve(axle, question.largest_roll_rad, roll_steps_each_side);
  result.steer = steer_curve(axle, question.rack_travel_mm, question.rack_travel_mm / steer_steps_each_side,
                             question.wheelbase_mm);
  return result;
}

}  // namespace pivotfix
