// SPDX-License-Identifier: Apache-2.0
// How one front corner moves. The knuckle is a rigid body with six unknowns; five constraints hold it, wheel
// travel moves it. Three kinds of constraint make every layout: a fixed distance between a body point and a
// knuckle point (steering link, one leg of an arm), and a body point that stays on a line fixed in the
// knuckle (strut, two equations).
//
// Everything here is for a left corner; right corners are mirrored by `make_corner`, so that toe-in, camber
// and "inboard" need no further signs.
#pragma once

#include <Eigen/Core>
#include <string>
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
  Eigen::MatrixXd covariance_mm2{};  // in the order of `points`, mirrored like them; empty when not known
};

// Points in the order of `hardpoint_names(layout)`. Checks the set for what cannot be a corner (missing or
// coincident points, collinear arm, link through the steering axis, metres or inches taken for millimetres,
// left set called right); throws Problem(refused).
Corner make_corner(const HardpointSet& set);

// The outer link joint moved by `height_mm` along the stud axis (positive up), the link's length re-set so
// that toe at ride height stays.
Corner with_rod_end_height(const Corner& corner, double height_mm);

// The corner standing at another ride height: what was `travel_mm` is ride height now. Static toe is set back
// with the link's length, camber becomes what travel makes it, z counts from the ground again. Covariance
// included. Throws Problem(refused) where the arms lock before.
Corner at_other_ride_height(const Corner& corner, double travel_mm);

struct CornerState {
  double travel_mm = 0.0;              // wheel centre's height over ride height, bump positive
  RigidTransform moved_from_ride{};    // takes knuckle points from their place at ride height to here
  double toe_rad = 0.0;                // toe-in positive, ISO 8855
  double camber_rad = 0.0;             // top outwards positive
  double toe_per_travel_rad_mm = 0.0;  // exact derivative
};

// The knuckle at this travel, steered until its toe is `toe_rad`, whatever the link does for it; the slope of
// its toe is zero then. Throws Problem(refused) where the arms lock before.
CornerState steered_state(const Corner& corner, double travel_mm, double toe_rad);

struct Curve {
  std::vector<CornerState> states{};  // in order of travel
  std::string ended_early{};          // empty, or where and why the corner cannot go on
};

// States from -droop to +bump in steps of at most `step_mm`, equal on each side of ride height, which is
// among them. Where the corner locks, the curve ends before and says so.
Curve solve_curve(const Corner& corner, const Travel& travel, double step_mm);

// Derivatives of a solved state by the implicit function theorem, in rad/mm. Coordinates are those of
// `corner.points` at ride height (x y z of each); all link lengths follow from them and static toe and camber
// stay, so this is also the derivative of the change since ride height.
struct StateDerivatives {
  double toe_by_travel = 0.0;
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

// Front view (y to the left, z up), at ride height.
//
// The arm's angle is that of the line in which a transverse plane cuts the plane of the arm (ball joint and
// swing axis); every transverse plane gives the same one. The instant centre belongs to the link: while the
// wheel moves without toe change, it is the point of the vertical plane through the steering link where the
// knuckle has no velocity in that plane. So the toe curve has zero slope at ride height exactly when the
// link's line passes through it, with any caster, inclination or slanted axes (derived; the usual drawing of
// two arm lines is the case where all axes run straight ahead).
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

// Steering axis and the like at ride height, ISO 8855.
struct SteeringAxis {
  double caster_rad = 0.0;       // top rearward positive
  double inclination_rad = 0.0;  // top inboard positive
};
SteeringAxis steering_axis(const Corner& corner);

}  // namespace pivotfix
