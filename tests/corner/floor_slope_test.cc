// SPDX-License-Identifier: Apache-2.0
#include "corner/floor_slope.h"

#include <gtest/gtest.h>

#include <cmath>

#include "example_corners.h"

namespace pivotfix {
namespace {

// In a corner whose motion is all in the transverse plane, a floor that rises outboard takes the same angle
// from every line of the front view: closed form.
TEST(FloorSlope, SidewaysTurnsArmAndLinkAlikeAndLeavesTheMismatch) {
  const FloorSlope slope = floor_slope(make_corner(converging_set(330.0, 265.0)));
  EXPECT_NEAR(slope.sideways.arm_angle, -1.0, 1e-9);
  EXPECT_NEAR(slope.sideways.link_angle, -1.0, 1e-9);
  EXPECT_NEAR(slope.sideways.mismatch, 0.0, 1e-9);
  EXPECT_NEAR(slope.sideways.effective_mismatch, 0.0, 1e-9);
}

// With slanted axes and a link that runs backwards little of the slope is left.
TEST(FloorSlope, SidewaysHardlyMattersToUsualCorners) {
  for (const Layout layout : {Layout::strut, Layout::double_wishbone, Layout::five_link}) {
    const SlopeEffect sideways = floor_slope(make_corner(example_set(layout))).sideways;
    EXPECT_LT(std::abs(sideways.mismatch), 0.05);
    EXPECT_LT(std::abs(sideways.effective_mismatch), 0.05);
  }
}

// A link that runs (x, y, z) has the angle atan(z / y); turned about the car's y axis, z changes by -x per
// radian for a floor that rises to the front.
TEST(FloorSlope, LengthwiseTurnsTheLinkByHowFarItRunsForward) {
  HardpointSet set = example_set(Layout::strut);
  const Eigen::Vector3d inner = set.position_vehicle_mm("link_inner_joint");
  const Eigen::Vector3d link = set.position_vehicle_mm("link_outer_joint") - inner;
  const double expected = -link.x() * link.y() / (link.y() * link.y() + link.z() * link.z());
  EXPECT_NEAR(floor_slope(make_corner(set)).lengthwise.link_angle, expected, 1e-4);
}

}  // namespace
}  // namespace pivotfix
