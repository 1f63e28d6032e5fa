// SPDX-License-Identifier: Apache-2.0
// Every way to tell the car's length and centre plane gives the same pivots from exact tags, moves them as
// its own uncertainty says, and refuses what cannot work.
#include <gtest/gtest.h>

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <random>

#include "base/length_words.h"
#include "base/units.h"
#include "locate/exact_scene.h"

namespace pivotfix {
namespace {

using Eigen::Vector3d;

// Places round the wheel, the first so many of them with a tag, on a floor made up uneven by a millimetre.
Scene on_uneven_floor(int tags, std::mt19937& random) {
  const std::vector<Vector3d> places{{400, 900, 0}, {-400, 950, 0}, {-30, 500, 0},
                                     {450, 480, 0}, {-450, 450, 0}, {0, 1000, 0}};
  std::normal_distribution<double> height_mm(0.0, 1.0);
  Scene scene;
  scene.question.axes.floor_tags.clear();
  for (int i = 0; i < tags; ++i) {
    scene.add(40 + i, places[static_cast<std::size_t>(i)] + Vector3d(0, 0, height_mm(random)),
              Vector3d::UnitZ());
    scene.question.axes.floor_tags.push_back(40 + i);
  }
  scene.add(50, {-500, 1000, 0}, Vector3d::UnitZ());
  scene.add(51, {600, 1000, 0}, Vector3d::UnitZ());
  scene.question.axes.forward_from = 50;
  scene.question.axes.forward_to = 51;
  return scene;
}

// Four tags tell little of how uneven a floor is: what they show may not pass for what it is.
TEST(VehicleAxes, StateWhatAnUnevenFloorDoes) {
  constexpr int floors = 300;
  constexpr int inner_pivot = 1;
  std::mt19937 random(4);
  for (const int tags : {4, 5, 6}) {
    Eigen::Array3d within = Eigen::Array3d::Zero();
    for (int floor = 0; floor < floors; ++floor) {
      const Scene scene = on_uneven_floor(tags, random);
      const HardpointSet found = scene.located().hardpoints;
      const Vector3d miss_mm = found.points[inner_pivot].position_vehicle_mm - scene.pivots[inner_pivot];
      const Vector3d sigma_mm = found.covariance_mm2.diagonal().segment<3>(3 * inner_pivot).cwiseSqrt();
      within += (miss_mm.array().abs() <= 1.96 * sigma_mm.array()).cast<double>() / floors;
    }
    for (int k = 0; k < 3; ++k) EXPECT_GE(within[k], 0.93) << tags << " tags, axis " << k;
  }
}

// The car of the scene turned about its wheel's centre, on the floor that stays: what a jack at one end does.
Scene standing_nose_up(double nose_up_rad, double left_up_rad) {
  Scene scene = with_string(0.0);
  const Vector3d wheel_centre(0, 742, 300);
  const Eigen::Quaterniond turn =
      Eigen::AngleAxisd(-nose_up_rad, Vector3d::UnitY()) * Eigen::AngleAxisd(left_up_rad, Vector3d::UnitX());
  const RigidTransform lifted{turn, wheel_centre - turn * wheel_centre};
  for (TagInSpace& tag : scene.network.tags)
    if (tag.number >= 10)
      tag.network_from_tag =
          network_from_car * (lifted * (network_from_car.inverse() * tag.network_from_tag));
  return scene;
}

TEST(VehicleAxes, FollowABodyThatStandsNoseUp) {
  constexpr double nose_up_rad = 5.7 * rad_per_deg, left_up_rad = 1.5 * rad_per_deg;
  Scene scene = standing_nose_up(nose_up_rad, left_up_rad);
  EXPECT_GT(scene.worst_miss_mm(), 10.0);
  scene.question.axes.level = BodyLevel{nose_up_rad, left_up_rad, 0.0};
  EXPECT_LT(scene.worst_miss_mm(), 1e-6);
}

// About the wheel, from which the axes count: a pivot 180 mm behind and 362 mm inboard of it goes up and
// down.
TEST(VehicleAxes, StateWhatAnUnsureLevelDoes) {
  constexpr double sigma_rad = 0.1 * rad_per_deg;
  Scene scene = standing_nose_up(0.0, 0.0);
  scene.question.axes.level = BodyLevel{0.0, 0.0, sigma_rad};
  const HardpointSet found = scene.located().hardpoints;
  const Vector3d arm_mm = scene.pivots[1] - Vector3d(0, 742, 300);
  const Vector3d expected_mm =
      sigma_rad * Vector3d(std::abs(arm_mm.z()), std::abs(arm_mm.z()), std::hypot(arm_mm.x(), arm_mm.y()));
  const Vector3d sigma_mm = found.covariance_mm2.diagonal().segment<3>(3).cwiseSqrt();
  EXPECT_LT((sigma_mm - expected_mm).cwiseAbs().maxCoeff<Eigen::PropagateNaN>(), 1e-3);
}

TEST(VehicleAxes, AskHowLevelALiftedCarStands) {
  Scene scene = with_string(0.0);
  const auto asks = [&] {
    const std::vector<std::string> notes = scene.located().notes;
    return std::any_of(notes.begin(), notes.end(),
                       [](const std::string& note) { return note.find("nose_up") != std::string::npos; });
  };
  EXPECT_FALSE(asks());
  scene.question.axes.floor_height_mm = -250.0;
  EXPECT_TRUE(asks());
  scene.question.axes.level = BodyLevel{};
  EXPECT_FALSE(asks());
}

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

TEST(VehicleAxes, LeaveOutAFloorTagThatThePhotosDoNotPlace) {
  Scene scene = with_string(0.0);
  const HardpointSet all = scene.located().hardpoints;
  scene.question.axes.floor_tags.push_back(49);
  const Located found = scene.located();
  EXPECT_EQ(found.hardpoints.points.front().position_vehicle_mm, all.points.front().position_vehicle_mm);
  EXPECT_TRUE(std::any_of(found.notes.begin(), found.notes.end(), [](const std::string& note) {
    return note.starts_with("Floor tag 49 is not in two photos");
  }));
  scene.question.axes.floor_tags = {scene.question.axes.floor_tags[0], scene.question.axes.floor_tags[1], 49};
  expect_refusal(scene,
                 "Tag 49, needed for the floor, is not in two photos that fit together with the others.");
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

// A long narrow floor is no line: what it leaves open of the slope sideways is stated. Truth: a level floor
// whose tags stand off it by half a millimetre.
TEST(VehicleAxes, StateWhatALongNarrowFloorLeavesOpen) {
  std::mt19937 random(6);
  std::normal_distribution<double> height_mm(0.0, 0.5);
  constexpr int floors = 200;
  double within = 0.0;
  for (int floor = 0; floor < floors; ++floor) {
    Scene scene = with_string(0.0);
    scene.question.axes.floor_tags.clear();
    for (int i = 0; i < 6; ++i) {
      const Vector3d place(540.0 * i - 1350.0, 850.0 + (i % 2 == 0 ? -150.0 : 150.0), height_mm(random));
      scene.add(40 + i, place, Vector3d::UnitZ());
      scene.question.axes.floor_tags.push_back(40 + i);
    }
    const HardpointSet found = scene.located().hardpoints;
    constexpr std::size_t inner_pivot = 1;
    const double miss_mm = found.points[inner_pivot].position_vehicle_mm.z() - scene.pivots[inner_pivot].z();
    within += std::abs(miss_mm) <= 1.96 * sigma_mm(found, inner_pivot, 2) ? 1.0 / floors : 0.0;
  }
  EXPECT_GE(within, 0.93);
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
