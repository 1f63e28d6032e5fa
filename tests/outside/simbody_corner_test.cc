// SPDX-License-Identifier: Apache-2.0
// The knuckle's pose against Simbody, which assembles the same closed loop from its own joints and
// constraints: hinged arms and ball joints instead of distances. All corners are invented.
#include <gtest/gtest.h>

#include <cmath>

#include "base/units.h"
#include "corner/corner.h"
#include "corner/example_corners.h"
#include "outside/simbody_difference.h"

namespace pivotfix {
namespace {

constexpr double pose_bar_mm = 1e-6;
constexpr double pose_bar_rad = 1e-8;

void expect_small(const PoseDifference& difference, const std::string& what) {
  EXPECT_LT(difference.place_mm, pose_bar_mm) << what;
  EXPECT_LT(difference.turn_rad, pose_bar_rad) << what;
  EXPECT_GT(difference.largest_toe_change_rad, 1e-3) << what << ": a curve without toe change proves little";
}

TEST(SimbodyCorner, HasTheSameKnucklePoseInEveryLayout) {
  for (const Layout layout : all_layouts()) {
    const HardpointSet set = example_set(layout);
    const Curve curve = solve_curve(make_corner(set), {80.0, 80.0}, 5.0);
    ASSERT_EQ(curve.states.size(), 33U) << curve.ended_early;
    PoseDifference difference;
    for (const CornerState& state : curve.states) difference.add(set, state);
    expect_small(difference, std::string(name_of(layout)));
  }
}

TEST(SimbodyCorner, HasTheSameKnucklePoseInRandomPlausibleCorners) {
  for (const Layout layout : all_layouts()) {
    PoseDifference difference;
    for (unsigned seed = 0; seed < 6; ++seed) {
      const HardpointSet set = random_plausible_set(layout, seed);
      for (const CornerState& state : solve_curve(make_corner(set), {80.0, 80.0}, 20.0).states)
        difference.add(set, state);
    }
    expect_small(difference, std::string(name_of(layout)) + ", random");
  }
}

TEST(SimbodyCorner, HasTheSameKnucklePoseWhenSteered) {
  for (const Layout layout : all_layouts()) {
    HardpointSet set = example_set(layout);
    set.rack_axis_vehicle = Eigen::Vector3d(0.05, 1.0, -0.03).normalized();
    PoseDifference difference;
    for (const double rack : {-40.0, -15.0, 25.0})
      for (const CornerState& state : solve_curve(make_corner(set), {60.0, 60.0}, 20.0, rack).states)
        difference.add(set, state);
    expect_small(difference, std::string(name_of(layout)) + ", steered");
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
