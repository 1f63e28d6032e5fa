// SPDX-License-Identifier: Apache-2.0
// What is measured by hand beside the photos: tapes, the ride height, how deep a pivot sits behind a tag.
#include <gtest/gtest.h>

#include "base/length_words.h"
#include "locate/exact_scene.h"

namespace pivotfix {
namespace {

using Eigen::Vector3d;

// The tape moves the less certain end.
TEST(Distances, HoldAPivotToATagsDistance) {
  Scene scene = with_string(0.0);
  scene.add(30, {-100, 500, 900}, Vector3d::UnitY());
  const Vector3d joint = scene.pivots[2];
  scene.question.hardpoints[2].way = ByHand{joint + Vector3d(0, 4, -6), Vector3d::Constant(5.0)};
  const double true_mm = (Vector3d(-100, 500, 900) - joint).norm();
  scene.question.distances = {{"lower_ball_joint", "", true_mm, 0.1, 30}};
  const HardpointSet found = scene.located().hardpoints;
  EXPECT_NEAR((found.points[2].position_vehicle_mm - Vector3d(-100, 500, 900)).norm(), true_mm, 0.1);
  EXPECT_LT(sigma_mm(found, 2, 2), 3.0);  // nearly along the tape
  EXPECT_GT(sigma_mm(found, 2, 0), 4.5);  // across it
}

TEST(Distances, NameATapeThatDisagreesWithThePhotos) {
  Scene scene = with_string(0.0);
  scene.question.distances = {{"link_inner_joint", "link_outer_joint", 380.0, 1.0}};
  bool said = false;
  for (const std::string& note : scene.located().notes)
    said = said || with_plain_spaces(note) ==
                       "The tape says 380.0 mm from link_inner_joint to link_outer_joint, the photos 360.6 "
                       "mm: more apart than both allow, so the tape is left out, and what it joins counts as "
                       "that much less certain. Measure again, and check the stand-offs.";
  EXPECT_TRUE(said);
}

// The tape was held on the cap, 50 mm outside the wheel centre.
TEST(RideHeight, CountsFromWhereTheTapeWasHeld) {
  Scene scene = with_string(0.0);
  const Vector3d wing(0, 800, 700);
  scene.add(35, wing, Vector3d::UnitY());
  const Vector3d cap = scene.pivots[7] + Vector3d(0, 50, 0);
  scene.question.reference_height = "ride";
  scene.question.heights = {"ride"};
  scene.question.ride_height = RideHeightRecipe{35, (wing - cap).norm() - 4.0, 1.0, {}, -1, 50.0};
  const Located located = scene.located();
  ASSERT_EQ(located.ride_height.size(), 1U);
  EXPECT_NEAR(located.ride_height[0].distance_mm, (wing - cap).norm(), 1e-6);
  EXPECT_NEAR(located.ride_height[0].above_mm, -4.0, 0.01);
}

// A mark well aside of the wheel: the tape runs aslant, and the wheel 30 mm high shortens it by less.
TEST(RideHeight, IsStraightUpHoweverTheTapeRuns) {
  Scene scene = with_string(0.0);
  const Vector3d wheel = scene.pivots[7], wing = wheel + Vector3d(264.6, 0, 300);
  scene.add(35, wing, Vector3d::UnitY());
  scene.question.reference_height = "ride";
  scene.question.heights = {"ride"};
  const double recorded_mm = (wing - wheel + Vector3d(0, 0, 30)).norm();
  scene.question.ride_height = RideHeightRecipe{35, recorded_mm, 1.0, {}, -1, 0.0};
  EXPECT_NEAR(scene.located().ride_height.at(0).above_mm, 30.0, 0.01);
}

TEST(RideHeight, RefusesABodyTagThatIsNotAboveTheHub) {
  Scene scene = with_string(0.0);
  scene.add(35, {-900, 700, 400}, Vector3d::UnitY());
  scene.question.reference_height = "ride";
  scene.question.heights = {"ride"};
  scene.question.ride_height = RideHeightRecipe{35, 900.0, 1.0, {}, -1, 0.0};
  expect_refusal(scene, "Tag 35 is not above the hub: its distance does not tell the ride height.");
}

// A face that looks outboard: its depth is across the car, its middle up and along.
TEST(LocateHardpoints, KeepsTheDepthOfATagApartFromItsCentring) {
  Scene scene = with_string(0.0);
  scene.remove(15);
  scene.add(15, scene.pivots[5] + Vector3d(0, 25, 0), Vector3d::UnitY());
  auto& way = std::get<TagOffset>(scene.question.hardpoints[5].way);
  way.sigma_mm = 0.1;
  way.centring_sigma_mm = 0.5;
  const HardpointSet found = scene.located().hardpoints;
  const Vector3d sigma_mm = found.covariance_mm2.diagonal().segment<3>(15).cwiseSqrt();
  EXPECT_LT((sigma_mm - Vector3d(0.5, 0.1, 0.5)).cwiseAbs().maxCoeff<Eigen::PropagateNaN>(), 1e-3);
}

}  // namespace
}  // namespace pivotfix
