// SPDX-License-Identifier: Apache-2.0
// Drawn tags on paper that clips, from finding them to the covariance of their corners.
#include <gtest/gtest.h>

#include <Eigen/LU>
#include <numbers>
#include <random>

#include "network/corners.h"
#include "tag_scene.h"

namespace pivotfix::test {
namespace {

using Stacked = Eigen::Matrix<double, 8, 1>;

// White paper of the scene is 0.8 of what the camera can hold; `light` multiplies it at the tag's left and
// right end.
struct Light {
  double left, right;
};

GreyPicture photographed(const TagPose& pose, int size_px, double side_px, const Light& light,
                         std::mt19937_64& random) {
  const double at_middle = 0.5 * (light.left + light.right);
  const double by_pixel = (light.right - light.left) / side_px;
  const double leftmost = at_middle - 0.5 * size_px * by_pixel;
  TagScene scene(size_px, size_px, 0.2 * leftmost);
  scene.draw_tag(7, pose, 2.0, 0.04 * leftmost, 0.8 * leftmost);
  scene.shade((at_middle + 0.5 * size_px * by_pixel) / leftmost);
  Camera phone;
  phone.blur_px = 0.8;
  phone.tone_curve = true;
  phone.sharpening = 0.3;
  return scene.shoot(phone, random);
}

// Of all eight coordinates, per degree of freedom: one where the covariance is true.
double chi_square_of_corners(const Light& light) {
  constexpr double side_px = 80.0, focal_px = 3000.0;
  constexpr int size_px = 232, photos = 30;
  Lens lens;
  lens.values = {focal_px, 1, 0.5 * size_px, 0.5 * size_px, 0, 0, 0, 0, 0};
  std::mt19937_64 random(3);
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  double sum = 0.0;
  for (int i = 0; i < photos; ++i) {
    PoseNumbers numbers;
    numbers.centre_px = {0.5 * size_px + unit(random), 0.5 * size_px + unit(random)};
    numbers.side_px = side_px;
    numbers.tilt_rad = 0.5;
    numbers.tilt_axis_rad = 0.5 * std::numbers::pi;
    numbers.roll_rad = 2.0 * std::numbers::pi * unit(random);
    numbers.focal_px = focal_px;
    const TagPose pose = make_pose(numbers);
    const auto found = find_tags(photographed(pose, size_px, side_px, light, random));
    EXPECT_EQ(found.size(), 1u);
    if (found.size() != 1) continue;
    const auto measured = measure_corners(found[0], lens, {});
    EXPECT_TRUE(measured);
    if (!measured) continue;
    const TagCorners truth = pose.corners();
    Stacked miss;
    for (int k = 0; k < 4; ++k) miss.segment<2>(2 * k) = measured->corner_px[k] - truth[k];
    sum += miss.dot(measured->covariance_px2.inverse() * miss) / 8.0;
  }
  return sum / photos;
}

// Where the paper clips more on one side, that side's edge moves further out: the tag becomes a trapezoid.
TEST(OverexposedTags, HaveCornersAsUncertainAsTheyMissWhereTheLightIsUneven) {
  EXPECT_LT(chi_square_of_corners({1.4, 1.2}), 3.0);
  EXPECT_LT(chi_square_of_corners({1.3, 1.1}), 3.0);
  EXPECT_LT(chi_square_of_corners({2.0, 1.4}), 3.0);
  EXPECT_LT(chi_square_of_corners({1.5, 1.0}), 7.0);
}

TEST(OverexposedTags, AreNoWorseThanOthersWhereThePaperDoesNotClip) {
  const double usual = chi_square_of_corners({1.0, 1.0});
  EXPECT_LT(usual, 2.0);
  EXPECT_GT(usual, 0.1);
}

}  // namespace
}  // namespace pivotfix::test
