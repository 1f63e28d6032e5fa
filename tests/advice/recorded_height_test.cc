// SPDX-License-Identifier: Apache-2.0
// A corner photographed off its ride height comes back to it. The oracle is the same corner before it was
// moved away, and arms whose ends go round circles.
#include "advice/recorded_height.h"

#include <gtest/gtest.h>

#include <cmath>

#include "advice/what_if.h"
#include "base/length_words.h"
#include "base/problem.h"
#include "corner/example_corners.h"

namespace pivotfix {
namespace {

HardpointSet photographed(const HardpointSet& at_ride, double above_mm, double sigma_mm) {
  HardpointSet set =
      with_corner(at_ride, at_other_ride_height(make_corner(at_ride), above_mm, 0.0, Kept::link_length));
  set.wheel = at_ride.wheel;
  set.ride_height = RideHeightMiss{above_mm, sigma_mm};
  return set;
}

TEST(AtRecordedHeight, BringsTheCornerBackToWhereItWas) {
  for (const Layout layout : {Layout::strut, Layout::double_wishbone, Layout::five_link})
    for (const double above_mm : {-6.0, 9.0}) {
      const HardpointSet at_ride = example_set(layout);
      const AtRecordedHeight back = at_recorded_height(photographed(at_ride, above_mm, 0.0));
      for (const Hardpoint& point : at_ride.points)
        EXPECT_LT((back.hardpoints.position_vehicle_mm(point.name) - point.position_vehicle_mm).norm(), 0.02)
            << point.name;
      EXPECT_EQ(back.hardpoints.wheel.camber_rad, at_ride.wheel.camber_rad);
      EXPECT_FALSE(back.hardpoints.ride_height);
    }
}

// The photos show camber where the wheel stood; what the user says holds at ride height (above).
TEST(AtRecordedHeight, TakesACamberOfPhotosAlong) {
  const HardpointSet at_ride = example_set(Layout::double_wishbone);
  HardpointSet set = photographed(at_ride, 9.0, 0.0);
  set.wheel.camber_rad = solve_state(make_corner(at_ride), 9.0).camber_rad;
  set.wheel.camber_from_photos = true;
  ASSERT_GT(std::abs(set.wheel.camber_rad - at_ride.wheel.camber_rad), 1e-3);
  EXPECT_NEAR(at_recorded_height(set).hardpoints.wheel.camber_rad, at_ride.wheel.camber_rad, 1e-4);
}

// Level arms 350 mm long that stand 10 mm too high: their outer ends were asin(10 / 350) up and go back
// level.
TEST(AtRecordedHeight, TurnsAParallelogramsArmsOnTheirCircles) {
  HardpointSet set = Parallelogram{}.set();
  const double turn = std::asin(10.0 / 350.0);
  for (Hardpoint& point : set.points)
    if (point.name.ends_with("ball_joint") || point.name == "link_outer_joint" ||
        point.name == "wheel_centre")
      point.position_vehicle_mm += Eigen::Vector3d(0.0, 350.0 * (std::cos(turn) - 1.0), 10.0);
  set.ride_height = RideHeightMiss{10.0, 0.0};
  const HardpointSet back = at_recorded_height(set).hardpoints;
  const Eigen::Vector3d arm =
      back.position_vehicle_mm("lower_ball_joint") - back.position_vehicle_mm("lower_arm_front_pivot");
  EXPECT_NEAR(arm.z(), 0.0, 1e-6);
  EXPECT_NEAR(arm.y(), 350.0, 1e-6);
}

TEST(AtRecordedHeight, PutsTheHeightsUncertaintyIntoTheCovariance) {
  HardpointSet at_ride = Parallelogram{}.set();
  at_ride.covariance_mm2 = Eigen::MatrixXd::Zero(27, 27);
  at_ride.ride_height = RideHeightMiss{0.0, 2.0};
  const AtRecordedHeight back = at_recorded_height(at_ride);
  const auto pivot = back.hardpoints.index_of("lower_arm_front_pivot");
  const auto ball = back.hardpoints.index_of("lower_ball_joint");
  // z counts from the ground: the body goes up and down, the wheel's side stays.
  EXPECT_NEAR(sigma_mm(back.hardpoints, pivot, 2), 2.0, 1e-3);
  EXPECT_NEAR(sigma_mm(back.hardpoints, ball, 2), 0.0, 1e-2);
}

TEST(AtRecordedHeight, SaysWhatItDid) {
  const AtRecordedHeight back = at_recorded_height(photographed(example_set(Layout::strut), -3.2, 0.8));
  EXPECT_EQ(
      with_plain_spaces(back.words),
      "When measured, the wheel stood 3.2 \xC2\xB1 0.8 mm below its recorded ride height. The suspension was "
      "solved at the recorded height, and everything here holds there.");
  EXPECT_EQ(at_recorded_height(example_set(Layout::strut)).words, "");
}

TEST(AtRecordedHeight, RefusesWhatIsTooFar) {
  HardpointSet set = example_set(Layout::strut);
  set.ride_height = RideHeightMiss{45.0, 1.0};
  try {
    at_recorded_height(set);
    FAIL();
  } catch (const Problem& problem) {
    EXPECT_EQ(problem.kind(), ProblemKind::refused);
    EXPECT_EQ(
        problem.what_happened(),
        "When measured, the wheel stood 45.0 \xC2\xB1 1.0 mm above its recorded ride height, too far to be "
        "corrected (30 mm are the most).");
  }
}

}  // namespace
}  // namespace pivotfix
