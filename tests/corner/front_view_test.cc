// SPDX-License-Identifier: Apache-2.0
#include "corner/front_view.h"

#include <gtest/gtest.h>

#include <Eigen/LU>

#include "base/units.h"
#include "corner/corner.h"
#include "example_corners.h"

namespace pivotfix {
namespace {

TEST(FrontView, OfAPlanarDoubleWishboneHasTheInstantCentreWhereTheArmsMeet) {
  const FrontView view = front_view(make_corner(converging_set(370.688744, 253.764474)));
  EXPECT_FALSE(view.arms_parallel);
  EXPECT_NEAR(view.instant_centre_yz_mm.x(), -979.245283, 1e-6);
  EXPECT_NEAR(view.instant_centre_yz_mm.y(), 269.433962, 1e-6);
  EXPECT_NEAR(view.arm_angle_rad, std::atan2(-20.0, 380.0), 1e-12);
  EXPECT_NEAR(view.link_angle_rad, std::atan2(250.0 - 253.764474, 695.0 - 370.688744), 1e-12);
  EXPECT_NEAR(view.mismatch_rad, view.link_angle_rad - view.arm_angle_rad, 1e-15);
  EXPECT_NEAR(view.effective_mismatch_rad, 0.0, 1e-8);
  EXPECT_NEAR(view.link_line_above_instant_centre_mm, 0.0, 1e-5);
}

// Kingpin through the top mount: the upper line of the construction is perpendicular to the strut there.
TEST(FrontView, OfAPlanarStrutHasTheInstantCentreOnTheLineThroughTheTopMountAcrossTheStrut) {
  const HardpointSet set = set_from(Layout::strut, {{100, 340, 205},
                                                    {-100, 340, 205},
                                                    {0, 700, 190},
                                                    {0, 600, 830},
                                                    {0, 650, 480},
                                                    {-140, 350, 260},
                                                    {-140, 690, 262},
                                                    {0, 745, 305}});
  const FrontView view = front_view(make_corner(set));
  // Lower arm: z = 205 + (y - 340) * (-15 / 360). Across the strut (-50, 350): -50 (y - 600) + 350 (z - 830)
  // = 0.
  Eigen::Matrix2d lines;
  lines << 15.0 / 360.0, 1.0, -50.0, 350.0;
  const Eigen::Vector2d right(205.0 + 340.0 * 15.0 / 360.0, -50.0 * 600.0 + 350.0 * 830.0);
  const Eigen::Vector2d expected = lines.inverse() * right;
  EXPECT_NEAR(view.instant_centre_yz_mm.x(), expected.x(), 1e-6);
  EXPECT_NEAR(view.instant_centre_yz_mm.y(), expected.y(), 1e-6);
}

TEST(FrontView, OfParallelArmsHasNoInstantCentreButStillAnEffectiveMismatch) {
  Parallelogram parallelogram;
  parallelogram.outer_high_mm = 10.0;
  const FrontView view = front_view(make_corner(parallelogram.set()));
  EXPECT_TRUE(view.arms_parallel);
  EXPECT_EQ(view.instant_centre_yz_mm, Eigen::Vector2d::Zero());
  EXPECT_EQ(view.link_line_above_instant_centre_mm, 0.0);
  EXPECT_NEAR(view.mismatch_rad, std::atan2(10.0, 350.0), 1e-12);
  EXPECT_NEAR(view.effective_mismatch_rad, std::atan2(10.0, 350.0), 1e-12);
  const FrontViewDerivatives slopes = front_view_derivatives(make_corner(parallelogram.set()));
  EXPECT_TRUE(slopes.effective_mismatch.allFinite());
  EXPECT_TRUE(slopes.link_line_above_instant_centre.allFinite());
}

// The definition's promise: zero slope exactly when the link's line passes through the instant centre, here
// by moving the inner joint of skewed random corners onto the line from rod end to instant centre.
TEST(FrontView, LinkThroughTheInstantCentreHasZeroSlope) {
  for (unsigned seed = 0; seed < 200; ++seed) {
    HardpointSet set = random_plausible_set(all_layouts()[seed % 5], seed);
    const FrontView view = front_view(make_corner(set));
    const Eigen::Vector3d outer = set.position_vehicle_mm("link_outer_joint");
    Eigen::Vector3d& inner = set.points[set.index_of("link_inner_joint")].position_vehicle_mm;
    const double before = solved_at(make_corner(set), 0.0).toe_per_travel_rad_mm;
    const double angle_to_centre = view.link_angle_rad - view.effective_mismatch_rad;
    inner.z() = outer.z() - std::tan(angle_to_centre) * (outer.y() - inner.y());
    const Corner corner = make_corner(set);
    const FrontView through = front_view(corner);
    EXPECT_NEAR(through.effective_mismatch_rad, 0.0, 1e-12) << "seed " << seed;
    EXPECT_NEAR(through.link_line_above_instant_centre_mm, 0.0, 1e-7) << "seed " << seed;
    EXPECT_NEAR(through.instant_centre_yz_mm.x(), view.instant_centre_yz_mm.x(), 1e-6)
        << "the link does not move it";
    EXPECT_NEAR(solved_at(corner, 0.0).toe_per_travel_rad_mm, 0.0, 1e-15) << "seed " << seed;
    EXPECT_EQ(before == 0.0, view.effective_mismatch_rad == 0.0);
  }
}

TEST(FrontView, InstantCentreLiesOnTheLineOfTheEffectiveMismatch) {
  for (const Layout layout : {Layout::strut, Layout::double_wishbone}) {
    const Corner corner = make_corner(example_set(layout));
    const FrontView view = front_view(corner);
    const Eigen::Vector3d outer = corner.points[layout == Layout::strut ? 6 : 7].position_vehicle_mm;
    const Eigen::Vector2d to_outer = Eigen::Vector2d(outer.y(), outer.z()) - view.instant_centre_yz_mm;
    EXPECT_NEAR(std::atan(to_outer.y() / to_outer.x()), view.link_angle_rad - view.effective_mismatch_rad,
                1e-12);
    // Height of the link's line over the instant centre, by elementary means.
    EXPECT_NEAR(view.link_line_above_instant_centre_mm,
                to_outer.y() - std::tan(view.link_angle_rad) * to_outer.x(), 1e-9);
  }
}

// Derived for axes straight ahead and an upright steering axis:
// slope = -s k / a (tan link - tan line to the instant centre).
TEST(FrontView, EffectiveMismatchGivesTheSlopeOfAPlanarCorner) {
  HardpointSet set = converging_set(360.0, 245.0);
  set.points[set.index_of("upper_ball_joint")].position_vehicle_mm.y() = 720.0;
  const Corner corner = make_corner(set);
  const FrontView view = front_view(corner);
  ASSERT_FALSE(view.arms_parallel);
  const double k = (695.0 - view.instant_centre_yz_mm.x()) / (750.0 - view.instant_centre_yz_mm.x());
  const double ideal = view.link_angle_rad - view.effective_mismatch_rad;
  EXPECT_NEAR(solved_at(corner, 0.0).toe_per_travel_rad_mm,
              -k / 140.0 * (std::tan(view.link_angle_rad) - std::tan(ideal)), 1e-12);
}

TEST(SteeringAxis, HasCasterWithTheTopRearwardAndInclinationWithTheTopInboard) {
  const SteeringAxis axis = steering_axis(make_corner(strut_set()));
  EXPECT_NEAR(axis.caster_rad, std::atan2(50.0, 647.0), 1e-12);
  EXPECT_NEAR(axis.inclination_rad, std::atan2(127.0, 647.0), 1e-12);
}

}  // namespace
}  // namespace pivotfix
