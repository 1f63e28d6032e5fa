// SPDX-License-Identifier: Apache-2.0
// The axes stand on the floor as it is, uneven or seen in part, and follow a body that is not level on it.
#include <gtest/gtest.h>

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <random>

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

}  // namespace
}  // namespace pivotfix
