// SPDX-License-Identifier: Apache-2.0
// A lens from simulated photos of a flat board, against the lens that took them.
#include "network/calibrate_lens.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "base/problem.h"
#include "simulated_photos.h"

namespace pivotfix {
namespace {

using Eigen::Vector3d;

// The board leans against the world's y axis: x to the right, z up.
std::vector<BoardView> photographed_board(int photos, double noise_px, double principal_shift_px = 0.0) {
  const simulation::Truth truth;
  std::mt19937 random(3);
  std::normal_distribution<double> normal(0.0, 1.0);
  std::vector<BoardView> views;
  for (int i = 0; i < photos; ++i) {
    const double azimuth = 0.7 * std::sin(2.1 * i), height_mm = 180.0 * std::cos(1.3 * i);
    const Vector3d place(420 * std::sin(azimuth), 420 * std::cos(azimuth), height_mm);
    const Vector3d aim(80 * std::sin(1.7 * i), 0, 60 * std::cos(2.9 * i));
    simulation::Camera camera = simulation::look_at(truth, place, aim, (i % 4) * M_PI / 2);
    camera.cx += principal_shift_px * normal(random);
    camera.cy += principal_shift_px * normal(random);
    BoardView view;
    view.photo = "board" + std::to_string(i) + ".jpg";
    view.camera = {"Halm", "Pocket 3", "", 5.6, 26.0, 1.0, truth.width, truth.height};
    for (int row = 0; row < 6; ++row)
      for (int column = 0; column < 9; ++column) {
        const double x_mm = 30.0 * (column - 4), y_mm = 30.0 * (row - 2.5);
        const Eigen::Vector2d pixel = simulation::picture_of(truth, camera, {-x_mm, 0.0, y_mm});
        view.points_board_mm.emplace_back(x_mm, y_mm, 0.0);
        view.points_px.emplace_back(pixel + noise_px * Eigen::Vector2d{normal(random), normal(random)});
      }
    views.push_back(view);
  }
  return views;
}

std::string refusal(const std::vector<BoardView>& views) {
  try {
    calibrate_lens(views);
  } catch (const Problem& problem) {
    return problem.what();
  }
  return "";
}

double deviates(const LensCalibration& found, LensParameter parameter, double truth) {
  return std::abs(found.file.lens.values[parameter] - truth) /
         std::sqrt(found.file.covariance(parameter, parameter));
}

TEST(CalibrateLens, FindsTheLensWithinItsUncertainty) {
  const simulation::Truth truth;
  const LensCalibration found = calibrate_lens(photographed_board(16, 0.05));
  EXPECT_NEAR(found.file.lens.focal_px(), truth.focal_px, 1.0);
  EXPECT_LT(deviates(found, lens_focal_px, truth.focal_px), 3.0);
  EXPECT_LT(deviates(found, lens_principal_x_px, truth.cx), 3.0);
  EXPECT_LT(deviates(found, lens_principal_y_px, truth.cy), 3.0);
  EXPECT_LT(deviates(found, lens_k1, truth.k1), 3.0);
  EXPECT_LT(deviates(found, lens_p2, truth.p2), 3.0);
  EXPECT_NEAR(found.file.residual_px, 0.05, 0.005);
  EXPECT_TRUE(found.lacks.empty()) << found.lacks.front();
  EXPECT_EQ(found.file.photos, 16);
}

TEST(CalibrateLens, FindsHowFarAStabiliserMovedIt) {
  const LensCalibration found = calibrate_lens(photographed_board(24, 0.03, 4.0), true);
  EXPECT_NEAR(found.file.spread[0], 4.0, 1.2);
  EXPECT_NEAR(found.file.residual_px, 0.03, 0.005);
}

TEST(CalibrateLens, NamesAPhotoOfAnotherBoard) {
  std::vector<BoardView> views = photographed_board(12, 0.05);
  std::swap(views[5].points_px[3], views[5].points_px[20]);
  const LensCalibration found = calibrate_lens(views);
  ASSERT_EQ(found.views.size(), 12u);
  for (const CalibratedView& view : found.views)
    EXPECT_EQ(view.used, view.photo != "board5.jpg") << view.photo;
  EXPECT_NE(found.views[5].why_not, "");
}

TEST(CalibrateLens, SaysWhatIsMissing) {
  const LensCalibration found = calibrate_lens(photographed_board(4, 0.05));
  EXPECT_NE(found.lacks.front().find("more photos: 4 fit"), std::string::npos);
}

TEST(CalibrateLens, RefusesPointsThatLieOtherwiseThanOnTheBoard) {
  std::vector<BoardView> views = photographed_board(10, 0.05);
  std::mt19937 random(5);
  for (BoardView& view : views) std::shuffle(view.points_px.begin(), view.points_px.end(), random);
  EXPECT_NE(refusal(views), "");
}

TEST(CalibrateLens, RefusesTooFewPhotosAndDifferentCameras) {
  EXPECT_NE(refusal(photographed_board(2, 0.05)).find("The board is in 2 of the photos"), std::string::npos);
  std::vector<BoardView> views = photographed_board(8, 0.05);
  views[3].camera.digital_zoom = 2.0;
  EXPECT_NE(refusal(views).find("different cameras, sizes or zooms"), std::string::npos);
}

}  // namespace
}  // namespace pivotfix
