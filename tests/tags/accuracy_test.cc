// SPDX-License-Identifier: Apache-2.0
// How near the sightings come to the truth, on drawn tags at random places, turns and tilts.
#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>
#include <numbers>

#include "tag_scene.h"

namespace pivotfix::test {
namespace {

struct Condition {
  const char* name;
  double side_px;
  double tilt_deg;
  Camera camera;
  double margin_cells = 2.0;
  double centre_bar_px = 0.0;
  double corner_bar_px = 0.0;
  bool square_on = false;
};

struct Errors {
  int drawn = 0;
  int found = 0;
  double centre_squares = 0.0;
  Eigen::Vector2d centre_sum = Eigen::Vector2d::Zero();
  double corner_squares = 0.0;
  double outward_sum = 0.0;
  double worst_centre = 0.0;
  double blur_sum = 0.0;
  double noise_sum = 0.0;
  double points_sum = 0.0;

  double centre_rms() const { return std::sqrt(centre_squares / (2.0 * found)); }
  double corner_rms() const { return std::sqrt(corner_squares / (8.0 * found)); }
  double centre_mean() const { return (centre_sum / found).cwiseAbs().maxCoeff(); }
};

Errors measure(const Condition& condition, int count, std::uint64_t seed, const TagSearchOptions& options) {
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  const int size = static_cast<int>(condition.side_px * 2.2) + 30;
  Errors errors;
  for (int i = 0; i < count; ++i) {
    PoseNumbers numbers;
    numbers.centre_px = {size / 2.0 + unit(random), size / 2.0 + unit(random)};
    numbers.side_px = condition.side_px;
    numbers.tilt_rad = condition.tilt_deg * std::numbers::pi / 180.0;
    numbers.tilt_axis_rad = 2.0 * std::numbers::pi * unit(random);
    numbers.roll_rad = 2.0 * std::numbers::pi * unit(random);
    if (condition.square_on) numbers.roll_rad = 0.0;
    const TagPose pose = make_pose(numbers);
    const int number = static_cast<int>(unit(random) * tag_family_size);
    TagScene scene(size, size, 0.25);
    scene.draw_tag(number, pose, condition.margin_cells);
    const auto sightings = find_tags(scene.shoot(condition.camera, random), options);
    ++errors.drawn;
    if (sightings.size() != 1 || sightings[0].tag_number != number) continue;
    ++errors.found;
    const Sighting& s = sightings[0];
    const Eigen::Vector2d off = s.centre_px - pose.centre();
    errors.centre_squares += off.squaredNorm();
    errors.centre_sum += off;
    errors.worst_centre = std::max(errors.worst_centre, off.norm());
    const TagCorners truth = pose.corners();
    for (int k = 0; k < 4; ++k) {
      errors.corner_squares += (s.corner_px[k] - truth[k]).squaredNorm();
      errors.outward_sum += (s.corner_px[k] - truth[k]).dot((truth[k] - pose.centre()).normalized()) / 4.0;
    }
    errors.blur_sum += s.blur_px;
    errors.noise_sum += s.edge_noise_px;
    for (const auto& points : s.edge_points) errors.points_sum += static_cast<double>(points.size());
  }
  return errors;
}

Camera linear(double blur, double noise = 2.0) {
  Camera camera;
  camera.blur_px = blur;
  camera.noise_grey = noise;
  return camera;
}

Camera phone(double blur, double sharpening = 0.8, double noise = 2.0) {
  Camera camera = linear(blur, noise);
  camera.tone_curve = true;
  camera.sharpening = sharpening;
  camera.jpeg_quality = 90;
  return camera;
}

TagSearchOptions linear_options() {
  TagSearchOptions options;
  options.tone_curve = false;
  return options;
}

TEST(Accuracy, CentresAndCornersStayWithinTheirBars) {
  const std::vector<Condition> conditions = {
      {"linear  100 px tilt 30", 100, 30, linear(0.7), 2, 0.01, 0.015},
      {"linear  200 px tilt 30", 200, 30, linear(0.7), 2, 0.01, 0.015},
      {"linear   50 px tilt 30", 50, 30, linear(0.7), 2, 0.015, 0.02},
      {"linear   30 px tilt 30", 30, 30, linear(0.7), 2, 0.02, 0.03},
      {"linear   20 px tilt 0 ", 20, 0, linear(0.7), 2, 0.04, 0.05},
      {"linear  100 px blur 1.5", 100, 30, linear(1.5), 2, 0.01, 0.015},
      {"linear  100 px blur 2.5", 100, 30, linear(2.5), 2, 0.015, 0.02},
      {"linear  100 px noise 6 ", 100, 30, linear(0.7, 6), 2, 0.02, 0.03},
      {"linear  100 px tilt 60", 100, 60, linear(0.7), 2, 0.015, 0.02},
      {"linear  100 px margin 1", 100, 30, linear(0.7), 1, 0.01, 0.015},
      {"linear   30 px margin 1", 30, 30, linear(0.7), 1, 0.02, 0.05},
      {"phone   200 px tilt 30", 200, 30, phone(0.7), 2, 0.01, 0.1},
      {"phone   100 px tilt 30", 100, 30, phone(0.7), 2, 0.015, 0.1},
      {"phone   100 px tilt 60", 100, 60, phone(0.7), 2, 0.02, 0.1},
      {"phone    60 px tilt 0 ", 60, 0, phone(0.7), 2, 0.02, 0.1},
      {"phone    60 px tilt 45", 60, 45, phone(0.7), 2, 0.02, 0.1},
      {"phone    40 px tilt 30", 40, 30, phone(0.7), 2, 0.02, 0.1},
      {"phone    40 px tilt 60", 40, 60, phone(0.7), 2, 0.04, 0.1},
      {"phone    30 px tilt 30", 30, 30, phone(0.7), 2, 0.025, 0.1},
      {"phone   100 px blur 1.5", 100, 30, phone(1.5), 2, 0.015, 0.12},
      {"phone   100 px margin 1", 100, 30, phone(0.7), 1, 0.015, 0.1},
      {"soft    100 px tilt 30", 100, 30, phone(0.7, 0.0), 2, 0.01, 0.015},
  };
  std::printf("%-26s found   centre rms  mean   worst  corner rms outward  noise  blur\n", "");
  for (const Condition& condition : conditions) {
    TagSearchOptions options;
    options.tone_curve = condition.camera.tone_curve;
    const Errors e = measure(condition, 40, 1, options);
    std::printf("%-26s %3d/%3d  %.4f  %.4f  %.4f   %.4f  %+.4f  %.4f  %.3f\n", condition.name, e.found,
                e.drawn, e.centre_rms(), e.centre_mean(), e.worst_centre, e.corner_rms(),
                e.outward_sum / e.found, e.noise_sum / e.found, e.blur_sum / e.found);
    EXPECT_EQ(e.found, e.drawn) << condition.name;
    EXPECT_LE(e.centre_rms(), condition.centre_bar_px) << condition.name;
    EXPECT_LE(e.corner_rms(), condition.corner_bar_px) << condition.name;
    EXPECT_LE(e.centre_mean(), 0.01) << condition.name;
  }
}

// Read without the tone curve they were taken with, edges lie up to half a pixel inside the black. All four
// do alike: the centre must not move with them.
TEST(Accuracy, AWrongToneCurveMovesCornersButNotCentres) {
  Condition condition{"", 100, 30, phone(0.7, 0.0)};
  const Errors e = measure(condition, 40, 2, linear_options());
  ASSERT_EQ(e.found, e.drawn);
  EXPECT_LT(e.outward_sum / e.found, -0.3);
  EXPECT_LE(e.centre_rms(), 0.015);
  EXPECT_LE(e.centre_mean(), 0.005);
}

// Edges along pixel rows meet every pixel at the same phase: an error of the edge model does not average out.
TEST(Accuracy, EdgesAlongPixelRowsAreNotDrawnToThem) {
  Condition condition{"", 80, 0, linear(0.7, 0.0)};
  condition.square_on = true;
  const Errors noiseless = measure(condition, 40, 4, linear_options());
  ASSERT_EQ(noiseless.found, noiseless.drawn);
  EXPECT_LE(noiseless.worst_centre, 0.01);
  condition.camera = phone(0.7);
  const Errors e = measure(condition, 40, 5, {});
  ASSERT_EQ(e.found, e.drawn);
  EXPECT_LE(e.worst_centre, 0.04);
}

// edge_noise_px is what later stages weigh a sighting by: on clean tags the scatter of the edge points must
// account for the scatter of the centre. Four edges with n points each fix the centre to about noise / sqrt(2
// n).
TEST(Accuracy, EdgeNoiseAccountsForTheScatterOfCentres) {
  const Errors e = measure({"", 100, 20, linear(0.7, 4.0)}, 100, 3, linear_options());
  const double expected = e.noise_sum / e.found * std::sqrt(2.0 * e.found / (e.points_sum / 4.0));
  EXPECT_LT(e.centre_rms(), 1.4 * expected);
  EXPECT_GT(e.centre_rms(), 0.7 * expected);
}

// A tag on something dark, its paper trimmed on one side: the blur mixes the dark into the narrow rim, which
// pulls a fitted step inwards by up to a pixel.
TEST(Accuracy, AnEdgeWithANarrowRimIsAsUncertainAsItSays) {
  constexpr double side_px = 100.0, cell_px = side_px / tag_cells;
  constexpr int trimmed = 1;  // from bottom right to top right
  constexpr int count = 12;
  for (const double blur_px : {0.7, 1.0, 1.5}) {
    for (const double rim_px : {1.5, 2.0, 3.0, 4.0, 6.0, 12.0}) {
      std::mt19937_64 random(3);
      double squares = 0.0, stated_squares = 0.0;
      for (int i = 0; i < count; ++i) {
        PoseNumbers numbers;
        numbers.centre_px = {110.0 + 0.07 * i, 110.0 + 0.11 * i};
        numbers.side_px = side_px;
        numbers.roll_rad = 0.2 + 0.03 * i;
        const TagPose pose = make_pose(numbers);
        TagScene scene(220, 220, 0.05);
        scene.draw_tag(10 + i, pose, 2.0);
        const double end = 4.0 + rim_px / cell_px;
        scene.draw_quad({pose.at(end, -8.0), pose.at(9.0, -8.0), pose.at(9.0, 8.0), pose.at(end, 8.0)}, 0.05);
        Camera camera = linear(blur_px);
        camera.tone_curve = true;
        const auto sightings = find_tags(scene.shoot(camera, random));
        ASSERT_EQ(sightings.size(), 1U) << "blur " << blur_px << ", rim " << rim_px;
        const Sighting& s = sightings[0];
        const Eigen::Vector2d outward = (pose.at(4.0, 0.0) - pose.centre()).normalized();
        const Eigen::Vector2d middle = 0.5 * (s.corner_px[trimmed] + s.corner_px[trimmed + 1]);
        const double off_px = outward.dot(middle - pose.at(4.0, 0.0));
        squares += off_px * off_px / count;
        stated_squares += s.rim_doubt_px[trimmed] * s.rim_doubt_px[trimmed] / count;
        for (const int other : {0, 2, 3}) EXPECT_EQ(s.rim_doubt_px[other], 0.0);
      }
      EXPECT_LT(std::sqrt(squares), 0.02 + 2.0 * std::sqrt(stated_squares))
          << "blur " << blur_px << ", rim " << rim_px;
      EXPECT_LT(std::sqrt(stated_squares), 1.5 * std::max(0.0, blur_px - 0.15 * rim_px) + 0.01);
    }
  }
}

}  // namespace
}  // namespace pivotfix::test
