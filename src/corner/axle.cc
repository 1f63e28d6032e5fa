// SPDX-License-Identifier: Apache-2.0
#include "corner/axle.h"

#include <algorithm>
#include <cmath>

#include "base/problem.h"
#include "base/units.h"
#include "corner/figures_at.h"

namespace pivotfix {
namespace {

constexpr int most_iterations = 30;
constexpr double last_step_mm = 1e-10;
constexpr double largest_roll_allowed_rad = 0.3;

// The travel at which the wheel stands on the ground when the body's side rises by `rise_rad`: the ground's
// normal n in the body's axes leans outboard then, and the wheel, a disc of the radius that stands on z = 0
// at ride height, reaches radius * |n - (n.s) s| below its centre. Newton's method with slope 1: what stands
// on the ground rises nearly as the wheel centre does.
CornerState settled(const Corner& corner, double rise_rad, double start_mm) {
  const Standing<double> at = standing_at_ride(corner);
  const Eigen::Vector3d normal(0.0, std::sin(rise_rad), std::cos(rise_rad));
  const double radius = radius_of(at);
  double travel = start_mm;
  for (int i = 0; i < most_iterations; ++i) {
    CornerState state = solve_state(corner, travel);
    const double along_spin = normal.dot(state.moved_from_ride.rotation * at.spin_at_ride);
    const double gap = normal.dot(state.moved_from_ride * at.reference_mm) -
                       radius * std::sqrt(1.0 - along_spin * along_spin);
    if (std::abs(gap) < last_step_mm) return state;
    travel -= gap;
  }
  throw Problem(ProblemKind::refused, "The wheel does not settle on the ground when the body rolls.",
                "Ask for less roll.");
}

// Toe change by roll angle of the own side's rising, at ride height.
double toe_by_rise(const Corner& corner) {
  const Standing<double> at = standing_at_ride(corner);
  const Motions<double> motions = motions_of(at, Drive{});
  const Eigen::Vector3d spin = at.spin_at_ride;
  const double radius = radius_of(at);
  // The lowest point is radius * hypot(s_x, s_y) below the wheel centre.
  const double level = std::hypot(spin.x(), spin.y());
  const double contact_by_travel = 1.0 + radius * spin.z() * motions.travel.turn().cross(spin).z() / level;
  const double contact_y = contact_point<double>(at.reference_mm, spin, radius).y();
  return -contact_y / contact_by_travel * toe_velocity<double>(spin, motions.travel);
}

RollState rolled(const Axle& axle, double roll_rad, const RollState& before) {
  const CornerState left = settled(axle.left, roll_rad, before.left_travel_mm);
  const CornerState right = settled(axle.right, -roll_rad, before.right_travel_mm);
  return {roll_rad, left.travel_mm, right.travel_mm, axle.left.wheel.toe_rad - left.toe_rad,
          right.toe_rad - axle.right.wheel.toe_rad};
}

// Where the steering axis meets the ground at ride height, sideways from the car's middle.
double axis_y_on_ground_mm(const Corner& corner) {
  const Standing<double> at = standing_at_ride(corner);
  const SpaceLine<double> axis = steering_axis_of(at, motions_of(at, Drive{}));
  return axis.point.y() - axis.direction.y() * axis.point.z() / axis.direction.z();
}

// Ackermann: cot(outer) - cot(inner) = distance of the steering axes at the ground / wheelbase.
std::optional<double> ideal_difference(double outer_rad, double axes_apart_mm,
                                       std::optional<double> wheelbase_mm) {
  if (!wheelbase_mm) return std::nullopt;
  if (outer_rad == 0.0) return 0.0;
  return std::atan(1.0 / (1.0 / std::tan(outer_rad) - axes_apart_mm / *wheelbase_mm)) - outer_rad;
}

SteerState steered(const Axle& axle, double rack_mm, double axes_apart_mm,
                   std::optional<double> wheelbase_mm) {
  SteerState state;
  state.rack_mm = rack_mm;
  // The rack goes outboard on the side that it moves to, inboard on the other.
  state.left_steer_rad = axle.left.wheel.toe_rad - solve_state(axle.left, 0.0, rack_mm).toe_rad;
  state.right_steer_rad = solve_state(axle.right, 0.0, -rack_mm).toe_rad - axle.right.wheel.toe_rad;
  const bool to_the_left = state.left_steer_rad + state.right_steer_rad > 0.0;
  const double inner = std::abs(to_the_left ? state.left_steer_rad : state.right_steer_rad);
  const double outer = std::abs(to_the_left ? state.right_steer_rad : state.left_steer_rad);
  state.ackermann_difference_rad = inner - outer;
  state.ideal_difference_rad = ideal_difference(outer, axes_apart_mm, wheelbase_mm);
  return state;
}

// Calls `add` for -count..count times step from the middle outwards on both sides, until it refuses; the
// states in order and why they end.
template <typename State, typename Add>
std::string both_ways(int count, double step, const State& middle, Add add, std::vector<State>& states) {
  std::string ended;
  for (const double sign : {-1.0, 1.0}) {
    State last = middle;
    try {
      for (int i = 1; i <= count; ++i) {
        last = add(sign * step * i, last);
        states.push_back(last);
      }
    } catch (const Problem& problem) {
      if (problem.kind() != ProblemKind::refused) throw;
      ended += (ended.empty() ? "" : " ") + problem.what_happened();
    }
    if (sign > 0.0) continue;
    std::reverse(states.begin(), states.end());
    states.push_back(middle);
  }
  return ended;
}

}  // namespace

Axle make_axle(const HardpointSet& one) {
  const Corner corner = make_corner(one);
  return {corner, corner};
}

Axle make_axle(const HardpointSet& one, const HardpointSet& other) {
  if (one.side == other.side)
    throw Problem(ProblemKind::refused, "Both corners are " + std::string(name_of(one.side)) + " corners.",
                  "Give one left and one right corner.");
  const bool ordered = one.side == Side::left;
  return {make_corner(ordered ? one : other), make_corner(ordered ? other : one)};
}

RollCurve roll_curve(const Axle& axle, double largest_roll_rad, int steps_each_side) {
  if (!(largest_roll_rad > 0.0 && largest_roll_rad <= largest_roll_allowed_rad && steps_each_side >= 1))
    throw Problem(ProblemKind::input,
                  "The roll angle must be above 0 and at most " +
                      format_fixed(deg_from_rad(largest_roll_allowed_rad), 0) +
                      " degrees, in one step or more.",
                  "Correct it.");
  RollCurve curve;
  curve.ended_early = both_ways<RollState>(
      steps_each_side, largest_roll_rad / steps_each_side, RollState{},
      [&](double roll, const RollState& before) { return rolled(axle, roll, before); }, curve.states);
  // Left steer is minus left toe; the right side rises by minus the roll angle.
  curve.roll_steer = 0.5 * (-toe_by_rise(axle.left) - toe_by_rise(axle.right));
  return curve;
}

SteerCurve steer_curve(const Axle& axle, double largest_rack_mm, double step_mm,
                       std::optional<double> wheelbase_mm) {
  if (!(largest_rack_mm > 0.0 && largest_rack_mm <= 1000.0 && step_mm >= 1e-3))
    throw Problem(ProblemKind::input, "The rack's travel must be above 0 and at most 1000 mm.",
                  "Correct it.");
  if (wheelbase_mm && !(*wheelbase_mm > 0.0))
    throw Problem(ProblemKind::input, "The wheelbase must be above 0.", "Correct it.");
  const double axes_apart_mm = axis_y_on_ground_mm(axle.left) + axis_y_on_ground_mm(axle.right);
  const int count = static_cast<int>(std::ceil(largest_rack_mm / step_mm - 1e-9));
  SteerState middle;
  if (wheelbase_mm) middle.ideal_difference_rad = 0.0;
  SteerCurve curve;
  curve.ended_early = both_ways<SteerState>(
      count, largest_rack_mm / count, middle,
      [&](double rack, const SteerState&) { return steered(axle, rack, axes_apart_mm, wheelbase_mm); },
      curve.states);
  return curve;
}

}  // namespace pivotfix
