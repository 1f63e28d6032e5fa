// SPDX-License-Identifier: Apache-2.0
// Every way to tell the car's length and centre plane gives the same pivots from exact tags, moves them as
// its own uncertainty says, and refuses what cannot work.
#include <gtest/gtest.h>

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>

#include "base/length_words.h"
#include "locate/exact_scene.h"

namespace pivotfix {
namespace {

using Eigen::Vector3d;

TEST(VehicleAxes, ComeFromTagsOnAString) {
  EXPECT_LT(with_string(0.0).worst_miss_mm(), 1e-6);
  // One in the middle has no say in the direction; the least-squares line only shifts.
  EXPECT_LT(with_string(3.0).worst_miss_mm(), 1e-6);
}

TEST(VehicleAxes, LessenAStringsErrorByTheTagsBetweenItsEnds) {
  const auto turn_sigma = [](bool between) {
    Scene scene = with_string(0.0);
    // Two more near the ends count nearly as much as the ends themselves.
    scene.add(8, {-690, 1000, 199}, Vector3d::UnitY());
    scene.add(9, {690, 1000, 199}, Vector3d::UnitY());
    scene.question.axes.forward_between = between ? std::vector<int>{8, 9} : std::vector<int>{};
    for (const int number : {5, 7, 8, 9})
      for (Eigen::Index k = 0; k < 3; ++k) {
        const Eigen::Index at = 6 * scene.network.index_of_tag(number) + k;
        scene.network.tag_covariance(at, at) = 1.0;
      }
    const HardpointSet found = scene.located().hardpoints;
    return sigma_mm(found, found.index_of("lower_arm_rear_pivot"), 1) / 180.0;
  };
  EXPECT_NEAR(turn_sigma(false), std::sqrt(2.0) / 1400.0, 2e-5);
  EXPECT_NEAR(turn_sigma(true) / turn_sigma(false), std::sqrt(0.5), 0.01);
}

TEST(VehicleAxes, ComeFromOneTagThatReadsForward) {
  Scene scene;
  scene.add(5, RigidTransform{Eigen::Quaterniond::Identity(), {-500, 1000, 6}});  // its x is the car's
  scene.question.axes.forward_tag = 5;
  EXPECT_LT(scene.worst_miss_mm(), 1e-6);
}

TEST(VehicleAxes, ComeFromTheHubsOfBothAxlesWithTheirUnlikeness) {
  Scene scene;
  const std::vector<Vector3d> places{{10, 780, 300}, {10, -780, 300}, {-2500, 760, 310}, {-2500, -760, 310}};
  for (int i = 0; i < 4; ++i) scene.add(50 + i, places[i], Vector3d::UnitY());
  scene.question.axes.hubs = {50, 51, 52, 53};
  scene.question.axes.like_sigma_mm = 2.0;
  EXPECT_LT(scene.worst_miss_mm(), 1e-6);
  const Located located = scene.located();
  // A middle of two is off by 2 mm over root two, the mean of both middles by 1 mm; the direction by both
  // ends' over 2510 mm. At the front wheel that is the front middle's again.
  EXPECT_NEAR(located.centre_plane.shift_sigma_mm, 1.0, 1e-9);
  EXPECT_NEAR(located.centre_plane.turn_sigma_rad, 2.0 / 2510.0, 1e-7);
  EXPECT_NEAR(sigma_mm(located.hardpoints, 7, 1), std::sqrt(2.0), 0.01);
}

TEST(VehicleAxes, PutTheHalfTracksUncertaintyIntoEverySidewaysPlaceAlike) {
  Scene scene = with_string(0.0);
  scene.question.axes.half_track_sigma_mm = 3.0;
  const Located located = scene.located();
  for (std::size_t i = 0; i < scene.pivots.size(); ++i) {
    EXPECT_NEAR(sigma_mm(located.hardpoints, i, 1), 3.0, 1e-3);
    EXPECT_LT(sigma_mm(located.hardpoints, i, 2), 1e-3);
  }
  EXPECT_NE(with_plain_spaces(located.centre_plane.words).find("uncertainty of 3.0 mm"), std::string::npos);
}

// Recorded on its wheels, the wheel stood 20 mm lower than in the photos.
void record_a_lower_wheel(Scene& scene) {
  scene.add(35, scene.pivots[7] + Vector3d(0, 0, 400), Vector3d::UnitY());
  scene.question.reference_height = "ride";
  scene.question.heights = {"ride"};
  scene.question.ride_height = RideHeightRecipe{35, 420.0, 1.0, {}, -1, 0.0};
}

TEST(VehicleAxes, AddATenthOfTheHeightThatTheHalfTrackWasNotMeasuredAt) {
  Scene scene = with_string(0.0);
  scene.question.axes.half_track_sigma_mm = 1.5;
  record_a_lower_wheel(scene);
  const Located located = scene.located();
  EXPECT_LT(scene.worst_miss_mm(), 1e-6);
  for (std::size_t i = 0; i < scene.pivots.size(); ++i)
    EXPECT_NEAR(sigma_mm(located.hardpoints, i, 1), 2.5, 1e-3) << "1.5 mm and 20 mm / 10";
  EXPECT_NE(with_plain_spaces(located.centre_plane.words)
                .find("its uncertainty of 2.5 mm, of it a tenth of the 20.0 mm by which the wheel stood off"),
            std::string::npos)
      << located.centre_plane.words;
}

TEST(VehicleAxes, FromLikePointsDoNotMindTheWheelsHeight) {
  Scene scene;
  scene.add(50, {300, 600, 700}, Vector3d::UnitY());
  scene.add(51, {300, -600, 700}, Vector3d::UnitY());
  scene.question.axes.like_points = {{50, 51}};
  scene.question.axes.like_sigma_mm = 2.0;
  record_a_lower_wheel(scene);
  EXPECT_NEAR(scene.located().centre_plane.shift_sigma_mm, 2.0 / std::sqrt(2.0), 1e-9);
}

bool says(const Located& located, const std::string& start) {
  return std::any_of(located.notes.begin(), located.notes.end(),
                     [&](const std::string& note) { return note.starts_with(start); });
}

TEST(VehicleAxes, LeaveOutATagOfTheForwardLineThatThePhotosDoNotPlace) {
  for (const int unplaced : {5, 6, 7}) {
    Scene scene = with_string(0.0);
    scene.add(8, {300, 1000, 195}, Vector3d::UnitY());
    scene.question.axes.forward_between = {6, 8};
    scene.remove(unplaced);
    EXPECT_LT(scene.worst_miss_mm(), 1e-6) << unplaced;
    EXPECT_TRUE(says(scene.located(), "Tag of the forward line " + std::to_string(unplaced) +
                                          " is not in two photos that fit together"));
  }
  Scene two = with_string(0.0);
  two.question.axes.forward_between.clear();
  two.question.axes.forward_to = 49;
  expect_refusal(
      two,
      "Tag 49, needed for the forward direction, is not in two photos that fit together with the others.");
}

TEST(VehicleAxes, LeaveOutLikePointsThatThePhotosDoNotPlace) {
  Scene scene;
  scene.add(50, {300, 600, 700}, Vector3d::UnitY());
  scene.add(51, {300, -600, 700}, Vector3d::UnitY());
  scene.question.axes.like_points = {{50, 51}, {52, 53}};
  scene.question.axes.like_sigma_mm = 2.0;
  const Located located = scene.located();
  EXPECT_LT(scene.worst_miss_mm(), 1e-6);
  EXPECT_TRUE(says(located, "Like points 52 and 53 are not both in two photos"));
  EXPECT_NEAR(located.centre_plane.shift_sigma_mm, 2.0 / std::sqrt(2.0), 1e-9) << "that of one pair";
  scene.question.axes.like_points = {{52, 53}};
  expect_refusal(
      scene, "Tag 52, needed for the like points, is not in two photos that fit together with the others.");
}

// Shifts the axes by 4 mm against what was taped from the car's middle: two pivots move against each other.
TEST(VehicleAxes, SayThatAWrongHalfTrackIsHarmlessOnlyWhereNoPivotIsMeasuredByHand) {
  constexpr std::size_t ball_joint = 2, rod_end = 6;
  constexpr double error_mm = 4.0;
  const auto apart_changes_mm = [](Scene scene) {
    const auto apart = [&] {
      const HardpointSet set = scene.located().hardpoints;
      return Vector3d(set.points[rod_end].position_vehicle_mm - set.points[ball_joint].position_vehicle_mm);
    };
    const Vector3d before = apart();
    scene.question.axes.half_track_mm += error_mm;
    return (apart() - before).norm();
  };
  Scene scene = with_string(0.0);
  EXPECT_TRUE(scene.located().centre_plane.words.ends_with(
      ". An error of it shifts all pivots sideways together and changes neither angles, toe nor spacers"));
  EXPECT_LT(apart_changes_mm(scene), 1e-6);

  scene.question.hardpoints[ball_joint].way = ByHand{scene.pivots[ball_joint], Vector3d::Constant(1.0)};
  scene.question.axes.half_track_sigma_mm = 3.0;
  const std::string words = with_plain_spaces(scene.located().centre_plane.words);
  EXPECT_TRUE(words.ends_with(
      "its uncertainty of 3.0 mm is in the sideways place of every pivot from the photos alike. An error of "
      "it shifts all pivots but those measured by hand sideways together; those then stand wrong against "
      "the others by as much, and angles, toe and spacers with them"))
      << words;
  EXPECT_NEAR(apart_changes_mm(scene), error_mm, 1e-6);
}

TEST(VehicleAxes, RefuseWhatCannotWork) {
  Scene near = with_string(0.0);
  near.add(55, {-660, 1000, 200}, Vector3d::UnitY());
  near.question.axes.forward_to = 55;
  near.question.axes.forward_between.clear();
  expect_refusal(near, "The ends of the forward line are only 40 mm apart.");

  Scene upright;
  upright.add(5, RigidTransform{Eigen::Quaterniond(Eigen::AngleAxisd(-0.5 * M_PI, Vector3d::UnitY())),
                                {-500, 1000, 6}});
  upright.question.axes.forward_tag = 5;
  expect_refusal(upright, "The forward direction points up or down rather than along the floor.");

  Scene like;
  like.add(50, {300, 600, 700}, Vector3d::UnitY());
  like.add(51, {300, 410, 700}, Vector3d::UnitY());
  like.question.axes.like_points = {{50, 51}};
  expect_refusal(
      like,
      "Tags 50 and 51, named as like points on both sides of the car, are only 190 mm apart (300 mm "
      "are needed).");

  Scene hubs;
  const std::vector<Vector3d> places{{10, 780, 300}, {10, -780, 300}, {-500, 760, 310}, {-500, -760, 310}};
  for (int i = 0; i < 4; ++i) hubs.add(50 + i, places[i], Vector3d::UnitY());
  hubs.question.axes.hubs = {50, 51, 52, 53};
  expect_refusal(hubs, "The front hubs are only 510 mm before the rear hubs.");
}

}  // namespace
}  // namespace pivotfix
