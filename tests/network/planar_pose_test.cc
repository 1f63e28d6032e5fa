// SPDX-License-Identifier: Apache-2.0
// Poses of one tag against poses that made the corners.
#include "network/planar_pose.h"

#include <gtest/gtest.h>

#include <Eigen/Geometry>
#include <random>

namespace pivotfix {
namespace {

const std::array<Eigen::Vector3d, 4> corners_mm{
    Eigen::Vector3d{-20, -20, 0}, {20, -20, 0}, {20, 20, 0}, {-20, 20, 0}};

std::array<Eigen::Vector2d, 4> seen(const RigidTransform& camera_from_tag) {
  std::array<Eigen::Vector2d, 4> direction;
  for (int i = 0; i < 4; ++i) direction[i] = (camera_from_tag * corners_mm[i]).hnormalized();
  return direction;
}

TEST(PlanarPoses, ReturnsTheTruePoseFirstForExactCorners) {
  std::mt19937 random(11);
  std::uniform_real_distribution<double> even(-1.0, 1.0);
  for (int trial = 0; trial < 500; ++trial) {
    const Eigen::Vector3d axis = Eigen::Vector3d{even(random), even(random), 0.0}.normalized();
    const double tilt = M_PI + 1.1 * even(random);  // the face towards the camera, tilted up to 63 degrees
    const RigidTransform truth{
        Eigen::Quaterniond(Eigen::AngleAxisd(tilt, axis) *
                           Eigen::AngleAxisd(3.0 * even(random), Eigen::Vector3d::UnitZ())),
        {300 * even(random), 200 * even(random), 900 + 300 * even(random)}};
    const auto poses = planar_poses(seen(truth), corners_mm);
    ASSERT_TRUE(poses) << "trial " << trial;
    const RigidTransform& found = poses->camera_from_tag[0];
    EXPECT_LT(found.rotation.angularDistance(truth.rotation), 1e-6) << "trial " << trial;
    EXPECT_LT((found.translation_mm - truth.translation_mm).norm(), 1e-4) << "trial " << trial;
  }
}

TEST(PlanarPoses, GivesTheMirroredPoseAsTheSecond) {
  // Far away the picture is nearly a parallel projection: the mirrored tilt fits almost as well.
  const RigidTransform truth{Eigen::Quaterniond(Eigen::AngleAxisd(M_PI + 0.6, Eigen::Vector3d::UnitX())),
                             {0, 0, 2000}};
  const RigidTransform mirrored{Eigen::Quaterniond(Eigen::AngleAxisd(M_PI - 0.6, Eigen::Vector3d::UnitX())),
                                {0, 0, 2000}};
  const auto poses = planar_poses(seen(truth), corners_mm);
  ASSERT_TRUE(poses);
  EXPECT_LT(poses->camera_from_tag[1].rotation.angularDistance(mirrored.rotation), 0.02);
}

TEST(PlanarPoses, IsEmptyForCornersInOneLine) {
  const std::array<Eigen::Vector2d, 4> line{Eigen::Vector2d{0, 0}, {0.1, 0.1}, {0.2, 0.2}, {0.3, 0.3}};
  EXPECT_FALSE(planar_poses(line, corners_mm));
}

}  // namespace
}  // namespace pivotfix
