// SPDX-License-Identifier: Apache-2.0
// The knuckle's pose against Simbody, which assembles the same closed loop from its own joints and
// constraints: hinged arms and ball joints instead of distances. All corners are invented. The largest
// differences are printed.
#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>

#include "base/units.h"
#include "corner/corner.h"
#include "corner/example_corners.h"
#include "outside/simbody_assembly.h"

namespace pivotfix {
namespace {

constexpr double pose_bar_mm = 1e-6;
constexpr double pose_bar_rad = 1e-8;

NamedPoints named_points(const HardpointSet& set) {
  NamedPoints points;
  for (const Hardpoint& point : set.points)
    points[point.name] = {point.position_vehicle_mm.x(), point.position_vehicle_mm.y(),
                          point.position_vehicle_mm.z()};
  return points;
}

struct Difference {
  double place_mm = 0.0;
  double turn_rad = 0.0;
  double largest_toe_change_rad = 0.0;
  int states = 0;

  void add(const HardpointSet& set, const CornerState& state) {
    const Eigen::Vector3d& axis = set.rack_axis_vehicle;
    const KnucklePose other =
        knuckle_by_simbody(named_points(set), state.travel_mm, state.rack_mm, {axis.x(), axis.y(), axis.z()});
    Eigen::Matrix3d rotation;
    Eigen::Vector3d shift;
    for (Eigen::Index r = 0; r < 3; ++r) {
      shift[r] = other.shift_mm[static_cast<std::size_t>(r)];
      for (Eigen::Index c = 0; c < 3; ++c)
        rotation(r, c) = other.rotation[static_cast<std::size_t>(r)][static_cast<std::size_t>(c)];
    }
    const Eigen::Vector3d wheel = set.position_vehicle_mm("wheel_centre");
    place_mm = std::max(place_mm, (state.moved_from_ride * wheel - rotation * wheel - shift).norm());
    const Eigen::Matrix3d turned = rotation.transpose() * state.moved_from_ride.rotation.toRotationMatrix();
    // Of a small rotation: half of the antisymmetric part.
    const Eigen::Vector3d turn(turned(2, 1) - turned(1, 2), turned(0, 2) - turned(2, 0),
                               turned(1, 0) - turned(0, 1));
    turn_rad = std::max(turn_rad, 0.5 * turn.norm());
    largest_toe_change_rad = std::max(largest_toe_change_rad, std::abs(state.toe_rad - set.wheel.toe_rad));
    ++states;
  }

  void expect_small(const std::string& what) const {
    std::printf("%-42s %5d states, largest difference %.1e mm %.1e rad\n", what.c_str(), states, place_mm,
                turn_rad);
    EXPECT_LT(place_mm, pose_bar_mm) << what;
    EXPECT_LT(turn_rad, pose_bar_rad) << what;
    EXPECT_GT(largest_toe_change_rad, 1e-3) << what << ": a curve without toe change proves little";
  }
};

TEST(SimbodyCorner, HasTheSameKnucklePoseInEveryLayout) {
  for (const Layout layout : all_layouts()) {
    const HardpointSet set = example_set(layout);
    const Curve curve = solve_curve(make_corner(set), {80.0, 80.0}, 5.0);
    ASSERT_EQ(curve.states.size(), 33U) << curve.ended_early;
    Difference difference;
    for (const CornerState& state : curve.states) difference.add(set, state);
    difference.expect_small(std::string(name_of(layout)));
  }
}

TEST(SimbodyCorner, HasTheSameKnucklePoseInRandomPlausibleCorners) {
  for (const Layout layout : all_layouts()) {
    Difference difference;
    for (unsigned seed = 0; seed < 6; ++seed) {
      const HardpointSet set = random_plausible_set(layout, seed);
      for (const CornerState& state : solve_curve(make_corner(set), {80.0, 80.0}, 20.0).states)
        difference.add(set, state);
    }
    difference.expect_small(std::string(name_of(layout)) + ", random");
  }
}

TEST(SimbodyCorner, HasTheSameKnucklePoseWhenSteered) {
  for (const Layout layout : all_layouts()) {
    HardpointSet set = example_set(layout);
    set.rack_axis_vehicle = Eigen::Vector3d(0.05, 1.0, -0.03).normalized();
    Difference difference;
    for (const double rack : {-40.0, -15.0, 25.0})
      for (const CornerState& state : solve_curve(make_corner(set), {60.0, 60.0}, 20.0, rack).states)
        difference.add(set, state);
    difference.expect_small(std::string(name_of(layout)) + ", steered");
  }
}

TEST(SimbodyCorner, ParallelArmsAgreeWithTheClosedFormToo) {
  Parallelogram corner;
  corner.outer_high_mm = 10.0;
  for (const double travel : {-50.0, 50.0}) {
    // Toe 0 at ride height: the spin axis is y.
    const auto rotation = knuckle_by_simbody(named_points(corner.set()), travel).rotation;
    EXPECT_NEAR(std::atan2(rotation[0][1], rotation[1][1]), corner.toe_rad(travel), 1e-9);
  }
}

}  // namespace
}  // namespace pivotfix
