// SPDX-License-Identifier: Apache-2.0
// Steering and roll of both corners, against closed forms of parallel arms. All corners are invented.
#include "corner/axle.h"

#include <gtest/gtest.h>

#include "base/problem.h"
#include "example_corners.h"

namespace pivotfix {
namespace {

// Kingpin upright: steering arm, link and rack are a four-bar linkage in plan. Seen from the kingpin the rod
// end is at arm * (-cos toe, -sin toe) in (forward, outboard) for rear steer; its distance to the inner joint
// stays.
TEST(Rack, TurnsTheWheelByTheFourBarLinkageInPlan) {
  const Parallelogram parallelogram;
  const Corner corner = make_corner(parallelogram.set());
  for (const double rack : {-45.0, -10.0, 20.0, 45.0}) {
    const double toe = solve_state(corner, 0.0, rack).toe_rad;
    const double x = -140.0 * std::cos(toe) + 140.0;
    const double y = 140.0 * std::sin(toe) - (rack - 350.0);
    EXPECT_NEAR(std::hypot(x, y), 350.0, 1e-10);
    EXPECT_GT(toe * rack, 0.0) << "behind the axle, pushing outboard toes in";
  }
}

TEST(Rack, KeepsTheLinksLengthAndTheTravelInEveryLayout) {
  for (const Layout layout : all_layouts()) {
    HardpointSet set = example_set(layout);
    set.rack_axis_vehicle = Eigen::Vector3d(0.1, 1.0, 0.05).normalized();
    const Corner corner = make_corner(set);
    const Curve curve = solve_curve(corner, {50.0, 50.0}, 10.0, 30.0);
    ASSERT_EQ(curve.states.size(), 11U) << curve.ended_early;
    const Eigen::Vector3d inner = set.position_vehicle_mm("link_inner_joint");
    const Eigen::Vector3d outer = set.position_vehicle_mm("link_outer_joint");
    for (const CornerState& state : curve.states) {
      EXPECT_EQ(state.rack_mm, 30.0);
      EXPECT_NEAR((state.moved_from_ride * outer - inner - 30.0 * set.rack_axis_vehicle).norm(),
                  (outer - inner).norm(), 1e-11);
    }
    const auto toe = [&](double rack) { return solve_state(corner, 20.0, rack).toe_rad; };
    EXPECT_NEAR(solve_state(corner, 20.0, 30.0).toe_per_rack_rad_mm,
                (8.0 * (toe(30.5) - toe(29.5)) - (toe(31.0) - toe(29.0))) / 6.0, 1e-10);
  }
}

TEST(Rack, EndsWithAReasonWhereTheLinkLocks) {
  const Corner corner = make_corner(strut_set());
  const Curve curve = solve_curve(corner, {40.0, 40.0}, 5.0, 300.0);
  EXPECT_TRUE(curve.states.empty());
  EXPECT_NE(curve.ended_early.find("mm of rack travel outboard: there it locks"), std::string::npos)
      << curve.ended_early;
  EXPECT_THROW(solve_state(corner, 0.0, 300.0), Problem);
}

TEST(SteerCurve, IsSymmetricForMirroredCornersAndHasTheIdealDifferenceOfAckermann) {
  const Axle axle = make_axle(strut_set());
  const SteerCurve curve = steer_curve(axle, 40.0, 10.0, 2500.0);
  ASSERT_EQ(curve.states.size(), 9U) << curve.ended_early;
  for (std::size_t i = 0; i < 9; ++i) {
    const SteerState& here = curve.states[i];
    const SteerState& there = curve.states[8 - i];
    EXPECT_NEAR(here.left_steer_rad, -there.right_steer_rad, 1e-13);
    EXPECT_NEAR(here.ackermann_difference_rad, there.ackermann_difference_rad, 1e-13);
    ASSERT_TRUE(here.ideal_difference_rad.has_value());
    if (here.rack_mm == 0.0) continue;
    EXPECT_EQ(here.left_steer_rad + here.right_steer_rad<0.0, here.rack_mm> 0.0)
        << "behind the axle, a rack to the left steers to the right";
    const double outer = std::min(std::abs(here.left_steer_rad), std::abs(here.right_steer_rad));
    const double smaller = here.ackermann_difference_rad > 0.0
                               ? outer
                               : std::max(std::abs(here.left_steer_rad), std::abs(here.right_steer_rad));
    const double inner = smaller + *here.ideal_difference_rad;
    // cot(outer) - cot(inner) = distance / wheelbase (Ackermann's condition, from memory), the distance being
    // that of the lines through ball joint and top mount where they meet the ground.
    const double axes_apart_mm = 2.0 * (712.0 + 188.0 * 127.0 / 647.0);
    EXPECT_NEAR(1.0 / std::tan(smaller) - 1.0 / std::tan(inner), axes_apart_mm / 2500.0, 1e-9);
  }
}

TEST(RollCurve, OfParallelArmsHasTheSlopeTimesHalfTheTrackInItsMiddle) {
  // Derived: each wheel moves by half the track times the roll angle; outer end 10 mm high.
  Parallelogram parallelogram;
  parallelogram.outer_high_mm = 10.0;
  const RollCurve curve = roll_curve(make_axle(parallelogram.set()), 0.05, 10);
  ASSERT_EQ(curve.states.size(), 21U) << curve.ended_early;
  const double slope = -10.0 / (140.0 * 350.0);
  EXPECT_NEAR(curve.roll_steer, slope * 740.0, 1e-9) << "toe-out in bump understeers";
  for (const RollState& state : curve.states) {
    EXPECT_NEAR(state.left_steer_rad, -parallelogram.toe_rad(state.left_travel_mm), 1e-12);
    EXPECT_NEAR(state.right_steer_rad, parallelogram.toe_rad(state.right_travel_mm), 1e-12);
  }
  const RollState& last = curve.states.back();
  EXPECT_LT(last.left_travel_mm, -30.0) << "the body's left side rises, its wheel droops";
  EXPECT_GT(last.right_travel_mm, 30.0);
}

TEST(RollCurve, HasItsExactSlopeInTheMiddleForEveryLayout) {
  for (const Layout layout : all_layouts()) {
    const RollCurve curve = roll_curve(make_axle(example_set(layout)), 0.002, 1);
    ASSERT_EQ(curve.states.size(), 3U);
    const auto mean = [](const RollState& s) { return 0.5 * (s.left_steer_rad + s.right_steer_rad); };
    EXPECT_NEAR(curve.roll_steer, (mean(curve.states[2]) - mean(curve.states[0])) / 0.004,
                1e-4 * std::abs(curve.roll_steer) + 1e-6);
  }
}

TEST(MakeAxle, TakesTwoMeasuredCornersInEitherOrderAndRefusesTwoOfOneSide) {
  const HardpointSet left = random_plausible_set(Layout::strut, 2);
  const HardpointSet right = mirrored(random_plausible_set(Layout::strut, 4));
  const Axle one = make_axle(left, right);
  const Axle other = make_axle(right, left);
  EXPECT_EQ(one.left.points[0].position_vehicle_mm, other.left.points[0].position_vehicle_mm);
  EXPECT_EQ(one.right.points[0].position_vehicle_mm, other.right.points[0].position_vehicle_mm);
  EXPECT_NE(one.left.points[0].position_vehicle_mm, one.right.points[0].position_vehicle_mm);
  EXPECT_THROW(make_axle(left, left), Problem);
}

}  // namespace
}  // namespace pivotfix
