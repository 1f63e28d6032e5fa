// SPDX-License-Identifier: Apache-2.0
// How one front corner moves. The knuckle is a rigid body with six unknowns; five constraints hold it, wheel
// travel moves it, the rack steers it. Few kinds of constraint make every layout: a fixed distance between a
// body point and a knuckle point (a link, one leg of an arm), the same with the body point on the rack
// (steering link), and a body point that stays on a line fixed in the knuckle (strut, two equations).
//
// Everything here is for a left corner; right corners are mirrored by `make_corner`, so that toe-in, camber
// and "inboard" need no further signs.
//
// Signs. ISO 8855:2011 and workshop agree on these, left and right alike: toe positive when the wheel's front
// points inboard (toe-in), camber positive with the top outwards, caster positive with the steering axis' top
// rearward, inclination positive with its top inboard, scrub radius positive when the axis meets the ground
// inboard of the contact point, trail positive when it meets the ground ahead of it. Travel is positive in
// bump, that is wheel up. Steer and roll angles of the whole axle: axle.h.
#pragma once

#include <Eigen/Core>
#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/rigid_transform.h"
#include "hardpoints/hardpoint_set.h"

namespace pivotfix {

// A solvable corner at ride height (travel zero), in vehicle axes, mirrored to the left side.
struct Corner {
  Layout layout = Layout::strut;
  std::vector<Hardpoint> points{};
  WheelSetting wheel{};
  Eigen::Vector3d stud_axis_vehicle{0.0, 0.0, 1.0};
  Eigen::Vector3d rack_axis_vehicle{0.0, 1.0, 0.0};  // outboard; the inner link joint moves along it
  Eigen::MatrixXd covariance_mm2{};  // in the order of `points`, mirrored like them; empty when not known
};

// Points in the order of `hardpoint_names(layout)`. Checks the set for what cannot be a corner (missing or
// coincident points, collinear arm, link through the steering axis, metres or inches taken for millimetres,
// left set called right, front and rear or inner and outer points swapped); throws Problem(refused).
Corner make_corner(const HardpointSet& set);

// The outer link joint moved by `height_mm` along the stud axis (positive up), the link's length re-set so
// that toe at ride height stays.
Corner with_rod_end_height(const Corner& corner, double height_mm);

// What stays when ride height is elsewhere in the travel: toe, set back with the link's length (other
// springs); or the link's length (the same car, found with its wheel off its ride height).
enum class Kept { toe, link_length };

// The corner standing at another ride height: what was `travel_mm` is ride height now. Camber becomes what
// travel makes it, static toe is still called what it was, z counts from the ground again. Covariance
// included, and in it the travel's own uncertainty. Throws Problem(refused) where the arms lock before.
Corner at_other_ride_height(const Corner& corner, double travel_mm, double travel_sigma_mm = 0.0,
                            Kept kept = Kept::toe);

struct CornerState {
  double travel_mm = 0.0;              // wheel centre's height over ride height, bump positive
  double rack_mm = 0.0;                // inner link joint moved along the rack's axis, outboard positive
  RigidTransform moved_from_ride{};    // takes knuckle points from their place at ride height to here
  double toe_rad = 0.0;                // toe-in positive, ISO 8855
  double camber_rad = 0.0;             // top outwards positive
  double toe_per_travel_rad_mm = 0.0;  // exact derivative
  double toe_per_rack_rad_mm = 0.0;    // likewise
};

struct Curve {
  std::vector<CornerState> states{};  // in order of travel
  std::string ended_early{};          // empty, or where and why the corner cannot go on
};

// States from -droop to +bump in steps of at most `step_mm`, equal on each side of ride height, which is
// among them. Where the corner locks, the curve ends before and says so.
Curve solve_curve(const Corner& corner, const Travel& travel, double step_mm);

// The same with the rack held at `rack_mm`. No states where the rack cannot get there.
Curve solve_curve(const Corner& corner, const Travel& travel, double step_mm, double rack_mm);

// One state; throws Problem(refused) saying where and why when the corner cannot get there.
CornerState solve_state(const Corner& corner, double travel_mm, double rack_mm = 0.0);

// Where the rack must stand so that the wheel has this toe at ride height; nothing when link or arms lock
// before.
std::optional<double> rack_at_toe(const Corner& corner, double toe_rad);

// Derivatives of a solved state by the implicit function theorem, in rad/mm. Coordinates are those of
// `corner.points` at ride height (x y z of each); all link lengths follow from them and static toe and camber
// stay, so this is also the derivative of the change since ride height.
struct StateDerivatives {
  double camber_by_travel = 0.0;
  double toe_by_camber = 0.0;  // by static camber; plain, not per mm
  Eigen::VectorXd toe_by_coordinate{};
  Eigen::VectorXd camber_by_coordinate{};
};
StateDerivatives derivatives(const Corner& corner, const CornerState& state);

// Toe's derivatives when the rod end's height (see with_rod_end_height) changes too, at fixed travel.
struct HeightDerivatives {
  double toe_by_height = 0.0;        // rad/mm
  double toe_by_height_twice = 0.0;  // rad/mm^2, as all below
  double toe_by_travel_and_height = 0.0;
  Eigen::VectorXd toe_by_coordinate{};  // rad/mm
  Eigen::VectorXd toe_by_coordinate_and_height{};
};
HeightDerivatives height_derivatives(const Corner& corner, const CornerState& state);

// What is told of a corner in one position. Lengths in mm, angles in rad, places in vehicle axes but for
// heights, which count from the ground; signs are at the top. The ground is the level plane through the
// contact point, which is the lowest point of the wheel's plane; at ride height it is z = 0.
enum class Figure {
  toe,
  camber,
  caster,
  inclination,   // of the steering axis
  scrub_radius,  // in the wheel's own axes, as the next: across and along the wheel plane's trace on the
                 // ground
  trail,
  contact_forward,   // contact point's motion since ride height
  contact_outward,   // half of the track's change when both wheels do the same
  contact_upward,    // travel, less what turning the wheel takes away
  instant_centre_y,  // of the knuckle, in the transverse plane through the contact point; zero when far away
  instant_centre_z,  // over the ground, as the roll centre
  swing_arm_length,  // from contact point to instant centre, sideways, inboard positive; zero when far away
  roll_centre_height,  // over the ground: line from the contact point to the instant centre at the car's
                       // middle
  toe_per_travel,
  camber_per_travel,
};
inline constexpr std::size_t figure_count = 15;
std::string_view name_of(Figure figure);  // "steering-axis inclination"

struct Figures {
  std::array<double, figure_count> values{};
  bool instant_centre_far = false;  // more than 100 m away
  double operator[](Figure figure) const { return values.at(static_cast<std::size_t>(figure)); }
};
// The steering axis is the line about which the knuckle turns when it steers: through the ball joints or the
// strut's top mount; with separate links it is a virtual one (the line that meets all links but the steering
// link, and the strut's top mount) and moves with steering.
Figures figures(const Corner& corner, const CornerState& state);

// A row for each figure, a column for each coordinate of `corner.points`, per mm. Conditions as for
// `derivatives`.
Eigen::MatrixXd figure_derivatives(const Corner& corner, const CornerState& state);

// Steering axis and the like at ride height, ISO 8855.
struct SteeringAxis {
  double caster_rad = 0.0;       // top rearward positive
  double inclination_rad = 0.0;  // top inboard positive
};
SteeringAxis steering_axis(const Corner& corner);

}  // namespace pivotfix
