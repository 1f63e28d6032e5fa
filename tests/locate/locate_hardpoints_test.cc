// SPDX-License-Identifier: Apache-2.0
// Pivots in vehicle axes from tags whose places are known, without any photo.
#include "locate/locate_hardpoints.h"

#include <gtest/gtest.h>

#include <Eigen/Geometry>
#include <algorithm>
#include <random>

#include "base/problem.h"

namespace pivotfix {
namespace {

using Eigen::MatrixXd;
using Eigen::Vector3d;

// An invented corner: three floor tags, a forward line, and one tag per hardpoint 25 mm outboard of its
// pivot.
struct Setting {
  Network network{};
  HardpointQuestion question{};
  std::vector<Vector3d> pivots_vehicle_mm{};
};

RigidTransform facing(const Vector3d& place_mm, const Vector3d& normal) {
  return {Eigen::Quaterniond::FromTwoVectors(Vector3d::UnitZ(), normal.normalized()), place_mm};
}

// Tags are moved as a whole by `network_from_vehicle`, as a network's arbitrary frame would have them.
Setting make_setting(const RigidTransform& network_from_vehicle) {
  Setting setting;
  const auto add = [&](int number, const RigidTransform& vehicle_from_tag) {
    setting.network.tags.push_back({number, network_from_vehicle * vehicle_from_tag, 40.0, 5, 1.0, 0.02});
  };
  add(1, facing({400, 900, 2}, Vector3d::UnitZ()));
  add(2, facing({-400, 950, 2}, Vector3d::UnitZ()));
  add(3, facing({-30, 500, 2}, Vector3d::UnitZ()));
  add(5, facing({-500, 1000, 6}, Vector3d::UnitZ()));
  add(6, facing({600, 1000, 30}, Vector3d::UnitZ()));
  const auto& names = hardpoint_names(Layout::strut);
  setting.question.axes = {{1, 2, 3}, 2.0, 5, 6, 0.0, 742.0};
  const std::vector<Vector3d> pivots{{120, 390, 210}, {-180, 380, 215}, {5, 700, 190},    {-30, 580, 810},
                                     {-10, 640, 450}, {-130, 330, 260}, {-135, 690, 240}, {0, 742, 300}};
  for (std::size_t i = 0; i < names.size(); ++i) {
    const Vector3d normal = Vector3d(0.2 * static_cast<double>(i) - 0.7, 1.0, 0.3).normalized();
    add(10 + static_cast<int>(i), facing(pivots[i] + 25.0 * normal, normal));
    setting.question.hardpoints.push_back(
        {names[i], TagOffset{10 + static_cast<int>(i), {0, 0, -25.0}, 0.0}});
  }
  setting.pivots_vehicle_mm = pivots;
  const auto width = static_cast<Eigen::Index>(6 * setting.network.tags.size());
  setting.network.tag_covariance = MatrixXd::Zero(width, width);
  return setting;
}

const RigidTransform somewhere{Eigen::Quaterniond(0.4, -0.5, 0.3, 0.7).normalized(), {120, -340, 900}};

TEST(LocateHardpoints, PutsPivotsIntoVehicleAxesWhateverTheNetworksFrame) {
  const Setting setting = make_setting(somewhere);
  const HardpointSet set = locate(setting.network, setting.question).hardpoints;
  ASSERT_EQ(set.points.size(), 8u);
  for (std::size_t i = 0; i < 8; ++i)
    EXPECT_LT((set.points[i].position_vehicle_mm - setting.pivots_vehicle_mm[i]).norm(), 1e-9)
        << set.points[i].name;
}

TEST(LocateHardpoints, MirrorsTheOriginForARightCorner) {
  Setting setting = make_setting(somewhere);
  setting.question.side = Side::right;
  // Seen with the forward line reversed, the same tags are a right corner.
  std::swap(setting.question.axes.forward_from, setting.question.axes.forward_to);
  const HardpointSet set = locate(setting.network, setting.question).hardpoints;
  EXPECT_NEAR(set.position_vehicle_mm("wheel_centre").y(), -742.0, 1e-9);
  EXPECT_NEAR(set.position_vehicle_mm("lower_arm_front_pivot").x(), -120.0, 1e-9);
}

// Oracle: central differences of the function itself, tag by tag.
TEST(LocateHardpoints, CarriesTheJointCovarianceOfTheTags) {
  const Setting setting = make_setting(somewhere);
  const auto inputs = setting.network.tag_covariance.rows();
  MatrixXd by_inputs(24, inputs);
  constexpr double step = 1e-4;
  for (Eigen::Index k = 0; k < inputs; ++k) {
    Eigen::VectorXd ends[2];
    for (const int end : {0, 1}) {
      Setting moved = setting;
      RigidTransform& tag = moved.network.tags[k / 6].network_from_tag;
      Vector3d small = Vector3d::Zero();
      small[k % 3] = end == 0 ? -step : step;
      if (k % 6 < 3)
        tag.translation_mm += small;
      else
        tag.rotation = Eigen::Quaterniond(Eigen::AngleAxisd(small.norm(), small.normalized())) * tag.rotation;
      const HardpointSet set = locate(moved.network, moved.question).hardpoints;
      ends[end].resize(24);
      for (int i = 0; i < 8; ++i) ends[end].segment<3>(3 * i) = set.points[i].position_vehicle_mm;
    }
    by_inputs.col(k) = (ends[1] - ends[0]) / (2.0 * step);
  }
  std::mt19937 random(5);
  std::normal_distribution<double> normal;
  MatrixXd root(inputs, inputs);
  for (Eigen::Index i = 0; i < root.size(); ++i) root.data()[i] = 0.01 * normal(random);
  Setting uncertain = setting;
  uncertain.network.tag_covariance = root * root.transpose();
  const HardpointSet set = locate(uncertain.network, uncertain.question).hardpoints;
  const MatrixXd expected = by_inputs * uncertain.network.tag_covariance * by_inputs.transpose();
  EXPECT_LT((set.covariance_mm2 - expected).cwiseAbs().maxCoeff<Eigen::PropagateNaN>(),
            1e-5 * expected.cwiseAbs().maxCoeff<Eigen::PropagateNaN>());
}

TEST(LocateHardpoints, AsksForAStandOffThatIsMissingOrInInches) {
  Setting setting = make_setting(somewhere);
  const auto asks = [&] {
    const std::vector<std::string> notes = locate(setting.network, setting.question).notes;
    return std::count_if(notes.begin(), notes.end(), [](const std::string& note) {
      return note.find("is the stand-off there, and its unit right?") != std::string::npos;
    });
  };
  EXPECT_EQ(asks(), 0);
  setting.question.hardpoints[2].way = TagOffset{12, {0, 0, -25.0 / 25.4}, 0.0};
  EXPECT_EQ(asks(), 1);
  setting.question.hardpoints[7].way = TagOffset{17, {0, 0, 0}, 0.0};
  EXPECT_EQ(asks(), 1) << "the rim's middle may lie in the hub's face";
}

// Oracle: the pivots are found from their tags in the same way, so a body tag that is also a pivot's tag with
// no depth must come out as that pivot, with the same spread and wholly correlated with it.
TEST(LocateHardpoints, PutsBodyTagsBesideThePivotsWithTheirJointCovariance) {
  Setting setting = make_setting(somewhere);
  setting.question.hardpoints[4].way = TagOffset{14, Vector3d::Zero(), 0.0};
  setting.question.body_tags = {13, 14};
  std::mt19937 random(8);
  std::normal_distribution<double> normal;
  const auto inputs = setting.network.tag_covariance.rows();
  MatrixXd root(inputs, inputs);
  for (Eigen::Index i = 0; i < root.size(); ++i) root.data()[i] = 0.01 * normal(random);
  setting.network.tag_covariance = root * root.transpose();
  const HardpointSet set = locate(setting.network, setting.question).hardpoints;
  const BodyTags& tags = set.body_tags;
  EXPECT_EQ(tags.numbers, (std::vector<int>{13, 14}));
  EXPECT_LT((tags.centres_vehicle_mm.at(1) - set.points[4].position_vehicle_mm).norm(), 1e-9);
  const Vector3d tag_of_third =
      (somewhere.inverse() * setting.network.tags[8].network_from_tag).translation_mm;
  EXPECT_EQ(setting.network.tags[8].number, 13);
  EXPECT_LT((tags.centres_vehicle_mm.at(0) - tag_of_third).norm(), 1e-9);
  ASSERT_EQ(tags.covariance_mm2.rows(), 6);
  ASSERT_EQ(tags.covariance_mm2.cols(), 24 + 6);
  const double size = set.covariance_mm2.cwiseAbs().maxCoeff<Eigen::PropagateNaN>();
  const MatrixXd with_points = tags.covariance_mm2.bottomLeftCorner(3, 24);
  EXPECT_LT((with_points - set.covariance_mm2.middleRows<3>(12)).cwiseAbs().maxCoeff<Eigen::PropagateNaN>(),
            1e-9 * size);
  EXPECT_LT((tags.covariance_mm2.bottomRightCorner(3, 3) - set.covariance_mm2.block<3, 3>(12, 12))
                .cwiseAbs()
                .maxCoeff<Eigen::PropagateNaN>(),
            1e-9 * size);
  EXPECT_LT((tags.covariance_mm2.topRightCorner(3, 3) - tags.covariance_mm2.block(0, 12, 3, 3))
                .cwiseAbs()
                .maxCoeff<Eigen::PropagateNaN>(),
            1e-9 * size)
      << "tag 13 with tag 14 and with the pivot in it";
}

TEST(LocateHardpoints, AddsTheUsersOwnUncertaintyOfAStandOff) {
  Setting setting = make_setting(somewhere);
  std::get<TagOffset>(setting.question.hardpoints[2].way).sigma_mm = 0.2;
  const HardpointSet set = locate(setting.network, setting.question).hardpoints;
  for (int k = 0; k < 3; ++k) EXPECT_NEAR(sigma_mm(set, 2, k), 0.2, 1e-12);
  EXPECT_NEAR(sigma_mm(set, 3, 0), 0.0, 1e-12);
}

TEST(LocateHardpoints, TurnsEverythingWhenTheForwardLineIsUnsure) {
  Setting setting = make_setting(somewhere);
  setting.question.axes.forward_sigma_rad = 0.002;
  const HardpointSet set = locate(setting.network, setting.question).hardpoints;
  // About the wheel centre: x of the inner joint moves with its lateral distance from it.
  const double lateral_mm = 742.0 - 330.0;
  EXPECT_NEAR(sigma_mm(set, 5, 0), 0.002 * lateral_mm, 1e-6);
  EXPECT_NEAR(sigma_mm(set, 5, 2), 0.0, 1e-9);
}

TEST(LocateHardpoints, TakesThePlaceBetweenAPairOfTags) {
  Setting setting = make_setting(somewhere);
  setting.question.hardpoints[1].way = TagPair{10, 12, 0.25, 0.0};
  const HardpointSet set = locate(setting.network, setting.question).hardpoints;
  const auto in_vehicle = [&](int number) {
    return somewhere.inverse() *
           setting.network.tags[setting.network.index_of_tag(number)].network_from_tag.translation_mm;
  };
  EXPECT_LT((set.points[1].position_vehicle_mm - (0.75 * in_vehicle(10) + 0.25 * in_vehicle(12))).norm(),
            1e-9);
}

void expect_refusal(const Setting& setting, const std::string& sentence) {
  try {
    locate(setting.network, setting.question);
    FAIL() << "not refused: " << sentence;
  } catch (const Problem& problem) {
    EXPECT_EQ(problem.kind(), ProblemKind::refused);
    EXPECT_EQ(problem.what_happened(), sentence);
  }
}

TEST(LocateHardpoints, RefusesATagThatTheNetworkDoesNotHaveAndNamesIt) {
  Setting setting = make_setting(somewhere);
  std::get<TagOffset>(setting.question.hardpoints[6].way).tag = 77;
  expect_refusal(
      setting,
      "Tag 77, needed for link_outer_joint, is not in two photos that fit together with the others.");
}

TEST(LocateHardpoints, RefusesFloorTagsInOneLine) {
  Setting setting = make_setting(somewhere);
  setting.network.tags[2].network_from_tag = somewhere * facing({0, 925, 2}, Vector3d::UnitZ());
  expect_refusal(setting, "The floor tags lie almost in one line (0 mm wide; 100 mm are needed).");
}

// It stands 50 mm above the other four. By NumPy's singular value decomposition it is 19.1 mm off the plane
// of least squares, and three of the others are off it by more than the 10 mm that are allowed: 11.0, 14.4
// and 13.6 mm.
TEST(LocateHardpoints, RefusesAFloorTagOnACableAndNamesNoOther) {
  Setting setting = make_setting(somewhere);
  for (const auto& [number, place_mm] : {std::pair{90, Vector3d(300, 300, 52)}, {91, Vector3d(-450, 300, 2)}})
    setting.network.tags.push_back(
        {number, somewhere * facing(place_mm, Vector3d::UnitZ()), 40.0, 5, 1.0, 0.02});
  setting.network.tag_covariance = MatrixXd::Zero(6 * 15, 6 * 15);
  setting.question.axes.floor_tags = {1, 2, 3, 90, 91};
  expect_refusal(setting, "Floor tag 90 is 19.1 mm off the plane of the floor tags.");
}

TEST(LocateHardpoints, RefusesAForwardLineThatPointsBackwards) {
  Setting setting = make_setting(somewhere);
  std::swap(setting.question.axes.forward_from, setting.question.axes.forward_to);
  expect_refusal(setting, "The wheel comes out 412 mm inboard of the inner link joint.");
}

}  // namespace
}  // namespace pivotfix
