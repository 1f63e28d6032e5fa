// SPDX-License-Identifier: Apache-2.0
// Figures against closed forms of invented corners, and their derivatives against differences of a solution
// in long double.
#include <gtest/gtest.h>

#include <chrono>
#include <cstdio>

#include "base/time_factor.h"
#include "corner/corner.h"
#include "corner/front_view.h"
#include "example_corners.h"
#include "fine_differences.h"

namespace pivotfix {
namespace {

Figures at_ride(const HardpointSet& set) {
  const Corner corner = make_corner(set);
  return figures(corner, solve_state(corner, 0.0));
}

TEST(Figures, OfThePlanarConvergingArmsAreThoseOfTheirInstantCentre) {
  // Elementary geometry of two lines: the arms meet in P. With the link through P the knuckle turns about it.
  const double p_y = -979.245283;
  const double p_z = 269.433962;
  const Figures found = at_ride(converging_set(370.688744, 253.764474));
  EXPECT_FALSE(found.instant_centre_far);
  EXPECT_NEAR(found[Figure::instant_centre_y], p_y, 1e-3);
  EXPECT_NEAR(found[Figure::instant_centre_z], p_z, 1e-3);
  EXPECT_NEAR(found[Figure::swing_arm_length], 750.0 - p_y, 1e-3);
  EXPECT_NEAR(found[Figure::roll_centre_height], 750.0 * p_z / (750.0 - p_y), 1e-3);
  EXPECT_NEAR(found[Figure::camber_per_travel], -1.0 / (750.0 - p_y), 1e-9) << "top goes inboard in bump";
  // The kingpin runs through (720, 180) and (675, 490) across the car.
  EXPECT_NEAR(found[Figure::inclination], std::atan2(45.0, 310.0), 1e-12);
  EXPECT_NEAR(found[Figure::caster], 0.0, 1e-12);
  EXPECT_NEAR(found[Figure::scrub_radius], 750.0 - (720.0 + 180.0 * 45.0 / 310.0), 1e-9);
  EXPECT_NEAR(found[Figure::trail], 0.0, 1e-9);
}

// The roll centre is where the line from the contact point to the instant centre meets the car's middle: by
// similar triangles, both heights over the contact point.
TEST(Figures, HeightsOfInstantCentreAndRollCentreCountFromTheSameGround) {
  const Corner corner = make_corner(converging_set(370.688744, 253.764474));
  for (const double travel_mm : {-40.0, -15.0, 25.0, 40.0}) {
    const Figures found = figures(corner, solve_state(corner, travel_mm));
    ASSERT_FALSE(found.instant_centre_far);
    const double arm_mm = found[Figure::swing_arm_length];
    const double contact_y_mm = found[Figure::instant_centre_y] + arm_mm;
    EXPECT_NEAR(contact_y_mm, 750.0 + found[Figure::contact_outward], 1e-9) << travel_mm;
    EXPECT_NEAR(found[Figure::roll_centre_height], found[Figure::instant_centre_z] * contact_y_mm / arm_mm,
                1e-6)
        << travel_mm;
  }
}

// The same in space: where both arms' lines meet once the wheel has moved, less where the ground is then.
TEST(Figures, InstantCentreOverTravelLiesWhereTheMovedArmsMeetOverTheGround) {
  const Corner corner = make_corner(converging_set(370.688744, 253.764474));
  const CornerState state = solve_state(corner, 40.0);
  const Figures found = figures(corner, state);
  const Eigen::Vector3d low = state.moved_from_ride * Eigen::Vector3d(0, 720, 180);
  const Eigen::Vector3d high = state.moved_from_ride * Eigen::Vector3d(0, 675, 490);
  const double low_slope = (low.z() - 200.0) / (low.y() - 340.0);
  const double high_slope = (high.z() - 460.0) / (high.y() - 450.0);
  const double y = (460.0 - 200.0 + low_slope * 340.0 - high_slope * 450.0) / (low_slope - high_slope);
  const double z = 200.0 + low_slope * (y - 340.0);
  // The wheel toes by a hundredth of a degree, so its motion is not quite in the plane.
  EXPECT_NEAR(found[Figure::instant_centre_y], y, 0.05);
  EXPECT_NEAR(found[Figure::instant_centre_z], z - found[Figure::contact_upward], 0.05);
}

TEST(Figures, OfParallelArmsStayButForTheTrackThatFollowsTheArmsCircle) {
  const Parallelogram parallelogram;
  const Corner corner = make_corner(parallelogram.set());
  const Figures found = figures(corner, solve_state(corner, 50.0));
  EXPECT_TRUE(found.instant_centre_far);
  EXPECT_EQ(found[Figure::swing_arm_length], 0.0);
  EXPECT_NEAR(found[Figure::contact_outward], std::sqrt(350.0 * 350.0 - 50.0 * 50.0) - 350.0, 1e-11);
  EXPECT_NEAR(found[Figure::contact_upward], 50.0, 1e-11);
  EXPECT_NEAR(found[Figure::contact_forward], 0.0, 1e-11);
  EXPECT_NEAR(found[Figure::scrub_radius], 40.0, 1e-9);
  EXPECT_NEAR(found[Figure::camber], 0.0, 1e-14);
}

// Where there are ball joints (or a strut's top mount), the axis is the line through them.
TEST(Figures, SteeringAxisRunsThroughTheJointsThatAreThere) {
  for (const Layout layout : {Layout::strut, Layout::double_wishbone})
    for (unsigned seed = 0; seed < 50; ++seed) {
      const HardpointSet set = random_plausible_set(layout, seed);
      const Corner corner = make_corner(set);
      const CornerState state = solve_state(corner, 35.0);
      const Eigen::Vector3d low = state.moved_from_ride * set.position_vehicle_mm("lower_ball_joint");
      const Eigen::Vector3d high = layout == Layout::strut
                                       ? set.position_vehicle_mm("strut_top_mount")
                                       : state.moved_from_ride * set.position_vehicle_mm("upper_ball_joint");
      const Eigen::Vector3d axis = high - low;
      const Figures found = figures(corner, state);
      EXPECT_NEAR(found[Figure::caster], std::atan2(-axis.x(), axis.z()), 1e-10) << seed;
      EXPECT_NEAR(found[Figure::inclination], std::atan2(-axis.y(), axis.z()), 1e-10) << seed;
    }
}

// Two links and a top mount: the axis lies in the planes of both links with the top mount.
TEST(Figures, VirtualSteeringAxisOfAStrutMeetsBothLinksAndTheTopMount) {
  const HardpointSet set = strut_two_links_set();
  const auto at = [&](const char* name) { return set.position_vehicle_mm(name); };
  const Eigen::Vector3d top = at("strut_top_mount");
  const auto plane = [&](const std::string& link) {
    const Eigen::Vector3d inner = set.position_vehicle_mm(link + "_inner_joint");
    const Eigen::Vector3d outer = set.position_vehicle_mm(link + "_outer_joint");
    return Eigen::Vector3d((inner - top).cross(outer - top));
  };
  Eigen::Vector3d axis = plane("lower_front_link").cross(plane("lower_rear_link"));
  if (axis.z() < 0.0) axis = -axis;
  const SteeringAxis found = steering_axis(make_corner(set));
  EXPECT_NEAR(found.caster_rad, std::atan2(-axis.x(), axis.z()), 1e-12);
  EXPECT_NEAR(found.inclination_rad, std::atan2(-axis.y(), axis.z()), 1e-12);
}

// Links that meet in one joint are an arm.
TEST(Figures, LinksThatMeetInOneJointMoveAsAnArm) {
  const HardpointSet arm = strut_set();
  const auto at = [&](const char* name) { return arm.position_vehicle_mm(name); };
  HardpointSet links =
      set_from(Layout::strut_two_links,
               {at("lower_arm_front_pivot"), at("lower_ball_joint"), at("lower_arm_rear_pivot"),
                at("lower_ball_joint"), at("strut_top_mount"), at("strut_axis_low"), at("link_inner_joint"),
                at("link_outer_joint"), at("wheel_centre")});
  links.wheel = arm.wheel;
  const Corner first = make_corner(arm);
  const Corner second = make_corner(links);
  for (const double travel : {-60.0, 25.0, 70.0}) {
    const Figures a = figures(first, solve_state(first, travel, 12.0));
    const Figures b = figures(second, solve_state(second, travel, 12.0));
    for (std::size_t i = 0; i < figure_count; ++i)
      EXPECT_NEAR(a.values[i], b.values[i], 1e-8) << name_of(static_cast<Figure>(i)) << " at " << travel;
  }
  EXPECT_NEAR(front_view(first).arm_angle_rad, front_view(second).arm_angle_rad, 1e-12);
}

TEST(Figures, AreTheSameOnBothSidesToTheLastBit) {
  for (const Layout layout : all_layouts())
    for (unsigned seed = 0; seed < 20; ++seed) {
      const HardpointSet set = random_plausible_set(layout, seed);
      const Corner left = make_corner(set);
      const Corner right = make_corner(mirrored(set));
      EXPECT_EQ(figures(left, solve_state(left, -30.0, 10.0)).values,
                figures(right, solve_state(right, -30.0, 10.0)).values);
    }
}

TEST(FigureDerivatives, ByEveryCoordinateAgreeWithHighPrecisionDifferences) {
  DerivativeMisses worst{};
  for (unsigned number = 0; number < 2000; ++number) {
    const DerivativeCase at = derivative_case(number);
    const Corner corner = make_corner(random_plausible_set(at.layout, at.seed));
    const DerivativeMisses misses = derivative_misses(corner, at.travel_mm, at.rack_mm);
    for (std::size_t f = 0; f < figure_count; ++f) {
      ASSERT_LT(misses[f].relative, 1e-6)
          << name_of(static_cast<Figure>(f)) << ", corner " << number << ", " << name_of(at.layout);
      worst[f].relative = std::max(worst[f].relative, misses[f].relative);
      worst[f].compared += misses[f].compared;
    }
  }
  for (std::size_t f = 0; f < figure_count; ++f)
    EXPECT_GT(worst[f].compared, 10000U) << name_of(static_cast<Figure>(f));
}

TEST(Curve, OfAllLayoutsTakesMillisecondsAtMost) {
  for (const Layout layout : all_layouts()) {
    const Corner corner = make_corner(example_set(layout));
    const auto start = std::chrono::steady_clock::now();
    constexpr int times = 20;
    std::size_t states = 0;
    for (int i = 0; i < times; ++i) states += solve_curve(corner, {80.0, 80.0}, 1.0).states.size();
    const double ms =
        std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - start).count() / times;
    const CornerState state = solve_state(corner, 30.0);
    const auto then = std::chrono::steady_clock::now();
    double sum = 0.0;
    for (int i = 0; i < times; ++i) sum += figure_derivatives(corner, state).sum();
    const double us =
        std::chrono::duration<double, std::micro>(std::chrono::steady_clock::now() - then).count() / times;
    std::printf("%-30s curve of %zu states %.3f ms, all derivatives of a state %.0f us\n",
                std::string(name_of(layout)).c_str(), states / times, ms, us);
    EXPECT_LT(ms, 50.0 * time_factor);
    EXPECT_TRUE(std::isfinite(sum));
  }
}

}  // namespace
}  // namespace pivotfix
