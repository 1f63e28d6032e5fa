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
// bump, that is wheel up. Steer and roll angles (of the whole axle, below) are ISO 8855's: about the upward
// and the forward axis, so steer is positive to the left and roll positive when the body's left side rises.
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

// What is told of a corner in one position. Lengths in mm, angles in rad, places in vehicle axes; signs are
// at the top. The ground is the level plane through the contact point, which is the lowest point of the
// wheel's plane; at ride height it is z = 0.
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
  instant_centre_z,
  swing_arm_length,    // from contact point to instant centre, sideways, inboard positive; zero when far away
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

// Front view (y to the left, z up), at ride height.
//
// The arm's angle is that of the line in which a transverse plane cuts the plane of the arm (ball joint and
// swing axis); every transverse plane gives the same one. Two separate lower links count as an arm from the
// line through their inner joints to the middle between their outer ones. The instant centre belongs to the
// link: while the wheel moves without toe change, it is the point of the vertical plane through the steering
// link where the knuckle has no velocity in that plane. So the toe curve has zero slope at ride height
// exactly when the link's line passes through it, with any caster, inclination or slanted axes (derived; the
// usual drawing of two arm lines is the case where all axes run straight ahead).
struct FrontView {
  double arm_angle_rad = 0.0;           // of the lower arm, rising outboard positive
  double link_angle_rad = 0.0;          // of the steering link, rising outboard positive
  double mismatch_rad = 0.0;            // link minus arm
  double effective_mismatch_rad = 0.0;  // link minus the line from the rod end to the instant centre
  bool arms_parallel = false;           // then the instant centre is at infinity and not given
  Eigen::Vector2d instant_centre_yz_mm = Eigen::Vector2d::Zero();
  double link_line_above_instant_centre_mm = 0.0;
};
FrontView front_view(const Corner& corner);

// The same with every figure's derivatives with respect to all coordinates, for its uncertainty.
struct FrontViewDerivatives {
  Eigen::VectorXd arm_angle{};  // 1/mm
  Eigen::VectorXd link_angle{};
  Eigen::VectorXd effective_mismatch{};
  Eigen::VectorXd link_line_above_instant_centre{};  // mm/mm; zero when the arms are parallel
};
FrontViewDerivatives front_view_derivatives(const Corner& corner);

// How the steering link fits the suspension, at ride height, straight ahead. A link out of place gives the
// toe curve a slope, which a spacer cures; a link too short or too long gives it a curvature, the same way in
// bump and in droop, which no spacer cures: then the inner joint must move along the link, with a link of
// another length. Exact in space (derived: the link's length must stay to first and second order while the
// wheel moves without toe change); in the plane it is Euler and Savary's construction.
struct LinkFit {
  double toe_slope_rad_mm = 0.0;       // toe by travel
  double toe_curvature_rad_mm2 = 0.0;  // its second derivative
  // Zero slope: the outer end must come down this much along the stud, or the inner end vertically; negative
  // when it is too low. Exact, and one of both is enough.
  bool spacer_cures_slope = false;     // moving the outer end has an effect and is not too far
  double outer_end_too_high_mm = 0.0;  // zero when a spacer does not cure it
  double inner_end_too_high_mm = 0.0;
  // What remains once the slope is gone, by the outer end where that cures it, else by the inner end.
  double curvature_left_rad_mm2 = 0.0;
  double link_length_mm = 0.0;
  bool has_ideal_length = false;      // false when the rod end's path is straight or bends the other way
  double ideal_link_length_mm = 0.0;  // with no curvature either; less link_length_mm: too short by this
  Eigen::Vector3d ideal_inner_joint_vehicle_mm = Eigen::Vector3d::Zero();
};
LinkFit link_fit(const Corner& corner);

// Derivatives with respect to all coordinates, zero where the figure is not there.
struct LinkFitDerivatives {
  Eigen::VectorXd toe_slope{};  // rad/mm^2
  Eigen::VectorXd toe_curvature{};
  Eigen::VectorXd outer_end_too_high{};
  Eigen::VectorXd inner_end_too_high{};
  Eigen::VectorXd curvature_left{};
  Eigen::VectorXd link_length{};
  Eigen::VectorXd ideal_link_length{};
};
LinkFitDerivatives link_fit_derivatives(const Corner& corner);

// Steering axis and the like at ride height, ISO 8855.
struct SteeringAxis {
  double caster_rad = 0.0;       // top rearward positive
  double inclination_rad = 0.0;  // top inboard positive
};
SteeringAxis steering_axis(const Corner& corner);

// Both corners, the right one mirrored like any.
struct Axle {
  Corner left{};
  Corner right{};
};
Axle make_axle(const HardpointSet& one);  // the other side is its mirror image
// In either order; throws Problem(refused) when both are of the same side.
Axle make_axle(const HardpointSet& one, const HardpointSet& other);

// The body rolls over wheels that stay on the ground, about the point on the ground below the car's middle.
// Steer angles are changes against ride height, relative to the body.
struct RollState {
  double roll_rad = 0.0;
  double left_travel_mm = 0.0;
  double right_travel_mm = 0.0;
  double left_steer_rad = 0.0;
  double right_steer_rad = 0.0;
};
struct RollCurve {
  std::vector<RollState> states{};  // from -largest to +largest
  double roll_steer = 0.0;          // mean steer angle by roll angle, exact; negative understeers
  std::string ended_early{};
};
RollCurve roll_curve(const Axle& axle, double largest_roll_rad, int steps_each_side);

// The rack moves to the left or right (negative) at ride height. Steer angles are changes against straight
// ahead, so static toe does not count.
struct SteerState {
  double rack_mm = 0.0;
  double left_steer_rad = 0.0;
  double right_steer_rad = 0.0;
  double ackermann_difference_rad = 0.0;  // wheel inside the bend less the outer one
  // Ackermann's condition cot(outer) - cot(inner) = track / wheelbase for the same outer wheel; the track is
  // taken between the steering axes on the ground. Not there without a wheelbase.
  std::optional<double> ideal_difference_rad{};
};
struct SteerCurve {
  std::vector<SteerState> states{};  // by rack position, from its right end to its left one
  std::string ended_early{};
};
SteerCurve steer_curve(const Axle& axle, double largest_rack_mm, double step_mm,
                       std::optional<double> wheelbase_mm = std::nullopt);

}  // namespace pivotfix
