// SPDX-License-Identifier: Apache-2.0
// What is found, what is not, and in which order corners come. How exactly is in accuracy_test.cc.
#include <gtest/gtest.h>

#include <numbers>

#include "tag_scene.h"

namespace pivotfix::test {
namespace {

constexpr double degree = std::numbers::pi / 180.0;

Camera phone() {
  Camera camera;
  camera.tone_curve = true;
  camera.sharpening = 0.5;
  camera.jpeg_quality = 90;
  return camera;
}

TagPose pose_at(double x, double y, double side_px, double tilt_deg = 0.0, double roll_deg = 0.0,
                double tilt_axis_deg = 30.0) {
  PoseNumbers numbers;
  numbers.centre_px = {x, y};
  numbers.side_px = side_px;
  numbers.tilt_rad = tilt_deg * degree;
  numbers.tilt_axis_rad = tilt_axis_deg * degree;
  numbers.roll_rad = roll_deg * degree;
  return make_pose(numbers);
}

void expect_at(const Sighting& sighting, const TagPose& pose, double corner_tolerance_px) {
  const TagCorners truth = pose.corners();
  for (int k = 0; k < 4; ++k) {
    EXPECT_LT((sighting.corner_px[k] - truth[k]).norm(), corner_tolerance_px) << "corner " << k;
  }
}

TEST(FindTags, CornersComeAsTheReaderSeesThem) {
  std::mt19937_64 random(1);
  TagScene scene(160, 160, 0.3);
  scene.draw_tag(7, pose_at(80, 80, 80), 1.0);
  const auto sightings = find_tags(scene.shoot(phone(), random));
  ASSERT_EQ(sightings.size(), 1U);
  // Square on and upright: half a side of 40 px about (80, 80), y of the picture pointing down.
  const TagCorners truth = {Eigen::Vector2d(40, 120), Eigen::Vector2d(120, 120), Eigen::Vector2d(120, 40),
                            Eigen::Vector2d(40, 40)};
  for (int k = 0; k < 4; ++k) EXPECT_LT((sightings[0].corner_px[k] - truth[k]).norm(), 0.5) << k;
  for (int k = 0; k < 4; ++k) {
    ASSERT_GT(sightings[0].edge_points[k].size(), 10U);
    for (const EdgePoint& p : sightings[0].edge_points[k]) {
      const Eigen::Vector2d along = (truth[(k + 1) % 4] - truth[k]).normalized();
      const Eigen::Vector2d from_corner = p.point_px - truth[k];
      EXPECT_LT(std::abs(from_corner.x() * along.y() - from_corner.y() * along.x()), 0.5) << "edge " << k;
    }
  }
}

TEST(FindTags, FindsATagTurnedByAnyAngleWithItsCornersTurnedAlong) {
  std::mt19937_64 random(2);
  for (int roll_deg = 0; roll_deg < 360; roll_deg += 15) {
    SCOPED_TRACE(roll_deg);
    TagScene scene(160, 160, 0.3);
    const TagPose pose = pose_at(80.3, 79.6, 64, 25, roll_deg);
    scene.draw_tag(123, pose, 1.0);
    const auto sightings = find_tags(scene.shoot(phone(), random));
    ASSERT_EQ(sightings.size(), 1U);
    EXPECT_EQ(sightings[0].tag_number, 123);
    EXPECT_EQ(sightings[0].wrong_cells, 0);
    expect_at(sightings[0], pose, 0.5);
  }
}

TEST(FindTags, FindsEveryNumberOfTheFamily) {
  std::mt19937_64 random(3);
  constexpr int columns = 10;
  constexpr int pitch_px = 60;
  for (int first = 0; first < tag_family_size; first += columns * columns) {
    const int last = std::min(first + columns * columns, tag_family_size);
    TagScene scene(columns * pitch_px, columns * pitch_px, 0.6);
    for (int number = first; number < last; ++number) {
      const int place = number - first;
      scene.draw_tag(
          number, pose_at(30.2 + pitch_px * (place % columns), 30.7 + pitch_px * (place / columns), 40), 1);
    }
    const auto sightings = find_tags(scene.shoot(phone(), random));
    ASSERT_EQ(static_cast<int>(sightings.size()), last - first);
    for (int number = first; number < last; ++number) EXPECT_EQ(sightings[number - first].tag_number, number);
  }
}

TEST(FindTags, FindsTagsWithOneCellOfWhiteOnDarkGround) {
  std::mt19937_64 random(4);
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  int found = 0;
  constexpr int drawn = 100;
  for (int i = 0; i < drawn; ++i) {
    TagScene scene(120, 120, 0.03);
    const Eigen::Vector2d middle{60 + unit(random), 60 + unit(random)};
    const double side = 22 + 25 * unit(random), tilt = 50 * unit(random);
    const double spin = 360 * unit(random), towards = 360 * unit(random);
    scene.draw_tag(i, pose_at(middle.x(), middle.y(), side, tilt, spin, towards), 1.0);
    const auto sightings = find_tags(scene.shoot(phone(), random));
    found += sightings.size() == 1 && sightings[0].tag_number == i;
  }
  EXPECT_GE(found, 99);
}

TEST(FindTags, FindsTheSameNumberTwiceAndOrdersByNumberThenPlace) {
  std::mt19937_64 random(5);
  TagScene scene(300, 200, 0.4);
  scene.draw_tag(9, pose_at(60, 60, 50), 1.0);
  scene.draw_tag(4, pose_at(230, 60, 50), 1.0);
  scene.draw_tag(4, pose_at(60, 145, 50), 1.0);
  const auto sightings = find_tags(scene.shoot(phone(), random));
  ASSERT_EQ(sightings.size(), 3U);
  EXPECT_EQ(sightings[0].tag_number, 4);
  EXPECT_NEAR(sightings[0].centre_px.y(), 60, 0.2);
  EXPECT_EQ(sightings[1].tag_number, 4);
  EXPECT_NEAR(sightings[1].centre_px.y(), 145, 0.2);
  EXPECT_EQ(sightings[2].tag_number, 9);
}

TEST(FindTags, FindsTwoTagsThatShareTheWhiteCellBetweenThem) {
  std::mt19937_64 random(6);
  TagScene scene(220, 120, 0.1);
  const TagPose left = pose_at(60, 60, 64);
  const TagPose right = pose_at(60 + 64 + 8, 60, 64);  // one cell is 8 px
  scene.draw_tag(20, left, 1.0);
  scene.draw_tag(21, right, 0.0);
  scene.draw_rectangle({right.corners()[1].x(), 20}, {right.corners()[1].x() + 8, 100}, 0.8);
  scene.draw_rectangle({100, 20}, {172, 28}, 0.8);
  scene.draw_rectangle({100, 92}, {172, 100}, 0.8);
  const auto sightings = find_tags(scene.shoot(phone(), random));
  ASSERT_EQ(sightings.size(), 2U);
  expect_at(sightings[0], left, 0.3);
  expect_at(sightings[1], right, 0.3);
}

TEST(FindTags, FindsTagsInUnevenLight) {
  std::mt19937_64 random(7);
  TagScene scene(300, 120, 0.3);
  const TagPose pose = pose_at(150.4, 60.2, 80, 40, 12);
  scene.draw_tag(55, pose, 1.0);
  scene.shade(0.1);
  const auto sightings = find_tags(scene.shoot(phone(), random));
  ASSERT_EQ(sightings.size(), 1U);
  EXPECT_LT((sightings[0].centre_px - pose.centre()).norm(), 0.05);
}

// Half of the paper's light again comes from a lamp that mirrors in it, on ink and paper alike.
TEST(FindTags, FindsSmallAndLargeTagsUnderGlare) {
  std::mt19937_64 random(8);
  for (const double side_px : {22.0, 30.0, 60.0, 120.0}) {
    TagScene scene(400, 300, 0.3);
    const TagPose pose = pose_at(201.3, 148.6, side_px, 20.0, 17.0);
    scene.draw_tag(7, pose, 1.0, 0.3, 0.8);
    const auto sightings = find_tags(scene.shoot(phone(), random));
    ASSERT_EQ(sightings.size(), 1U) << side_px;
    expect_at(sightings[0], pose, 0.5);
  }
}

TEST(FindTags, FindsLargeBlurredTags) {
  std::mt19937_64 random(8);
  Camera defocused = phone();
  defocused.blur_px = 6.0;
  TagScene scene(560, 560, 0.3);
  const TagPose pose = pose_at(280.4, 279.2, 320, 20, 12);
  scene.draw_tag(56, pose, 1.0);
  const auto sightings = find_tags(scene.shoot(defocused, random));
  ASSERT_EQ(sightings.size(), 1U);
  EXPECT_LT((sightings[0].centre_px - pose.centre()).norm(), 0.1);
  EXPECT_NEAR(sightings[0].blur_px, 6.0, 0.6);
}

TEST(FindTags, FindsNothingInAPictureWithoutTags) {
  std::mt19937_64 random(9);
  EXPECT_TRUE(find_tags(TagScene(200, 150, 0.4).shoot(phone(), random)).empty());
}

TEST(FindTags, BearsPicturesOfAnySize) {
  for (const int width : {1, 2, 3, 7, 8, 9, 17, 63, 64, 65}) {
    for (const int height : {1, 2, 5, 8, 33, 64}) {
      GreyPicture picture{width, height, std::vector<std::uint8_t>(static_cast<std::size_t>(width) * height)};
      for (std::size_t i = 0; i < picture.grey.size(); ++i) picture.grey[i] = i % 3 == 0 ? 0 : 255;
      EXPECT_TRUE(find_tags(picture).empty());
    }
  }
  EXPECT_TRUE(find_tags(GreyPicture{}).empty());
}

TEST(FindTags, FindsNoTagThatThePictureCutsOff) {
  std::mt19937_64 random(10);
  TagScene scene(150, 120, 0.3);
  scene.draw_tag(1, pose_at(30, 60, 80), 1.0);
  EXPECT_TRUE(find_tags(scene.shoot(phone(), random)).empty());
}

TEST(FindTags, FindsNothingInCheckerboards) {
  std::mt19937_64 random(11);
  for (const int cell_px : {3, 5, 8, 13, 30}) {
    TagScene scene(400, 400, 0.8);
    for (int row = 0; row * cell_px < 400; ++row) {
      for (int column = row % 2; column * cell_px < 400; column += 2) {
        const Eigen::Vector2d low(column * cell_px, row * cell_px);
        scene.draw_rectangle(low, low + Eigen::Vector2d(cell_px, cell_px), 0.04);
      }
    }
    EXPECT_TRUE(find_tags(scene.shoot(phone(), random)).empty()) << cell_px;
  }
}

// Black frames on white paper with random content: everything of a tag but its number. 2000 of them; a
// random content is a member of the family with at most two wrong cells once in 40 000.
TEST(FindTags, FindsNoNumberInBlackFramesWithRandomContent) {
  std::mt19937_64 random(12);
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  int found = 0;
  for (int picture = 0; picture < 20; ++picture) {
    TagScene scene(600, 600, 0.8);
    for (int row = 0; row < 10; ++row) {
      for (int column = 0; column < 10; ++column) {
        const Eigen::Vector2d low(10 + 60 * column, 10 + 60 * row);
        scene.draw_rectangle(low, low + Eigen::Vector2d(40, 40), 0.04);
        for (int i = 0; i < 36; ++i) {
          if (unit(random) < 0.5) continue;
          const Eigen::Vector2d cell = low + 5.0 * Eigen::Vector2d(1 + i % 6, 1 + i / 6);
          scene.draw_rectangle(cell, cell + Eigen::Vector2d(5, 5), 0.8);
        }
      }
    }
    found += static_cast<int>(find_tags(scene.shoot(phone(), random)).size());
  }
  EXPECT_LE(found, 1);
}

TEST(FindTags, FindsNothingInClutterAndNoise) {
  std::mt19937_64 random(13);
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  Camera noisy = phone();
  noisy.noise_grey = 12.0;
  for (int picture = 0; picture < 5; ++picture) {
    TagScene scene(800, 600, 0.5);
    for (int i = 0; i < 2500; ++i) {
      const Eigen::Vector2d low{800 * unit(random), 600 * unit(random)};
      const Eigen::Vector2d share{unit(random), unit(random)}, of{unit(random), unit(random)};
      const Eigen::Vector2d size = Eigen::Vector2d(2, 2) + 30 * share.cwiseProduct(of);
      scene.draw_rectangle(low, low + size, unit(random));
    }
    EXPECT_TRUE(find_tags(scene.shoot(picture % 2 == 0 ? phone() : noisy, random)).empty());
  }
}

// A finger over the middle of each edge in turn, as wide as two cells, coming from outside. Not proved: that
// a tag is found when a finger joins its border to ground of the same darkness; it is not.
TEST(FindTags, FindsATagWithAFingerOnOneEdge) {
  std::mt19937_64 random(14);
  for (const double finger_light : {0.02, 0.6}) {
    for (int edge = 0; edge < 4; ++edge) {
      SCOPED_TRACE(testing::Message() << "finger " << finger_light << " on edge " << edge);
      TagScene scene(220, 220, 0.3);
      const TagPose pose = pose_at(110.3, 109.8, 96, 20, 17);
      scene.draw_tag(30, pose, 2.0);
      const std::array<Eigen::Vector2d, 4> outward = {Eigen::Vector2d(0, -1), Eigen::Vector2d(1, 0),
                                                      Eigen::Vector2d(0, 1), Eigen::Vector2d(-1, 0)};
      for (double reach = 4.1; reach < 7.0; reach += 0.1) {
        const Eigen::Vector2d middle = reach * outward[edge];
        scene.draw_disc(pose.at(middle.x() + 0.3, middle.y() - 0.3), 12, finger_light);
      }
      const auto sightings = find_tags(scene.shoot(phone(), random));
      ASSERT_EQ(sightings.size(), 1U);
      EXPECT_EQ(sightings[0].tag_number, 30);
      EXPECT_LT((sightings[0].centre_px - pose.centre()).norm(), 0.06);
      EXPECT_LT(sightings[0].edge_points[edge].size(), sightings[0].edge_points[(edge + 2) % 4].size());
    }
  }
}

TEST(FindTags, DustOnTheEdgesDoesNotMoveTheCentre) {
  std::mt19937_64 random(15);
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  for (int i = 0; i < 20; ++i) {
    TagScene scene(200, 200, 0.3);
    const Eigen::Vector2d middle{100 + unit(random), 100 + unit(random)};
    const double tilt = 30 * unit(random), spin = 360 * unit(random);
    const TagPose pose = pose_at(middle.x(), middle.y(), 90, tilt, spin);
    scene.draw_tag(31 + i, pose, 2.0);
    for (int speck = 0; speck < 6; ++speck) {
      const double along = -3.8 + 7.6 * unit(random);
      const Eigen::Vector2d at = speck % 2 == 0 ? pose.at(along, 4.0) : pose.at(4.0, along);
      const double radius = 1.0 + 1.5 * unit(random), light = 0.4 * unit(random);
      scene.draw_disc(at, radius, light);
    }
    const auto sightings = find_tags(scene.shoot(phone(), random));
    ASSERT_EQ(sightings.size(), 1U);
    EXPECT_LT((sightings[0].centre_px - pose.centre()).norm(), 0.08) << i;
  }
}

TEST(FindTags, GivesTheSameAnswerTwice) {
  std::mt19937_64 random(16);
  TagScene scene(300, 200, 0.3);
  scene.draw_tag(3, pose_at(80.2, 90.1, 80, 40), 1.0);
  scene.draw_tag(5, pose_at(210.2, 90.1, 60, 30), 1.0);
  const GreyPicture picture = scene.shoot(phone(), random);
  const auto first = find_tags(picture);
  const auto second = find_tags(picture);
  ASSERT_EQ(first.size(), 2U);
  ASSERT_EQ(second.size(), 2U);
  for (std::size_t i = 0; i < 2; ++i) {
    EXPECT_EQ(first[i].centre_px, second[i].centre_px);
    for (int k = 0; k < 4; ++k) EXPECT_EQ(first[i].corner_px[k], second[i].corner_px[k]);
  }
}

}  // namespace
}  // namespace pivotfix::test
