// SPDX-License-Identifier: Apache-2.0
// A lens from simulated photos of a flat board, against the lens that took them.
#include "network/calibrate_lens.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "base/problem.h"
#include "network/corners.h"
#include "simulated_photos.h"

namespace pivotfix {
namespace {

using Eigen::Vector3d;

// The board leans against the world's y axis: x to the right, z up.
simulation::Camera before_board(const simulation::Truth& truth, int photo) {
  const double azimuth = 0.7 * std::sin(2.1 * photo), height_mm = 180.0 * std::cos(1.3 * photo);
  const Vector3d place(420 * std::sin(azimuth), 420 * std::cos(azimuth), height_mm);
  const Vector3d aim(80 * std::sin(1.7 * photo), 0, 60 * std::cos(2.9 * photo));
  return simulation::look_at(truth, place, aim, (photo % 4) * M_PI / 2);
}

std::vector<BoardView> photographed_board(int photos, double noise_px, double principal_shift_px = 0.0) {
  const simulation::Truth truth;
  std::mt19937 random(3);
  std::normal_distribution<double> normal(0.0, 1.0);
  std::vector<BoardView> views;
  for (int i = 0; i < photos; ++i) {
    simulation::Camera camera = before_board(truth, i);
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

// What a finder of tags, which knows no lens, makes of a tag of 21 mm: points of its bent edges, and the
// crossing of straight lines along them as its centre. Empty where the tag is not wholly in the picture.
std::optional<Sighting> sighted_tag(const simulation::Truth& truth, const simulation::Camera& camera,
                                    double x_mm, double y_mm, std::mt19937& random) {
  constexpr double half_mm = 10.5, edge_noise_px = 0.06, outward_px = 0.4;
  constexpr int points_per_edge = 40;
  std::normal_distribution<double> normal(0.0, edge_noise_px);
  const auto in_picture = [&](double right_mm, double up_mm) {
    return simulation::picture_of(truth, camera, {-(x_mm + right_mm), 0.0, y_mm + up_mm});
  };
  const std::array<Eigen::Vector2d, 4> corner_mm{
      Eigen::Vector2d{-half_mm, -half_mm}, {half_mm, -half_mm}, {half_mm, half_mm}, {-half_mm, half_mm}};
  Sighting sighting;
  sighting.centre_px = in_picture(0.0, 0.0);
  for (std::size_t edge = 0; edge < 4; ++edge)
    for (int i = 0; i < points_per_edge; ++i) {
      const Eigen::Vector2d step_mm = (corner_mm[(edge + 1) % 4] - corner_mm[edge]) / points_per_edge;
      const Eigen::Vector2d on_edge_mm = corner_mm[edge] + (i + 0.5) * step_mm;
      const Eigen::Vector2d place = in_picture(on_edge_mm.x(), on_edge_mm.y());
      const Eigen::Vector2d along =
          in_picture(on_edge_mm.x() + step_mm.x(), on_edge_mm.y() + step_mm.y()) - place;
      Eigen::Vector2d outwards = Eigen::Vector2d(-along.y(), along.x()).normalized();
      if (outwards.dot(place - sighting.centre_px) < 0.0) outwards = -outwards;
      sighting.edge_points[edge].push_back({place + (outward_px + normal(random)) * outwards});
      constexpr double border_px = 20.0;
      if (place.x() < border_px || place.x() > truth.width - border_px || place.y() < border_px ||
          place.y() > truth.height - border_px)
        return std::nullopt;
    }
  Lens straight;
  straight.values[lens_focal_px] = truth.focal_px;
  sighting.centre_px = measure_centre(sighting, straight, {}).value();
  return sighting;
}

// A grid of 10 x 7 tags, 30 mm apart.
std::vector<BoardView> photographed_tags(const simulation::Truth& truth, int photos) {
  std::mt19937 random(5);
  std::vector<BoardView> views;
  for (int i = 0; i < photos; ++i) {
    BoardView view;
    view.photo = "tags" + std::to_string(i) + ".jpg";
    view.camera = {"Halm", "Pocket 3", "", 5.6, 26.0, 1.0, truth.width, truth.height};
    for (int row = 0; row < 7; ++row)
      for (int column = 0; column < 10; ++column) {
        const double x_mm = 30.0 * (column - 4.5), y_mm = 30.0 * (row - 3);
        const auto sighting = sighted_tag(truth, before_board(truth, i), x_mm, y_mm, random);
        if (!sighting) continue;
        view.points_board_mm.emplace_back(x_mm, y_mm, 0.0);
        view.points_px.push_back(sighting->centre_px);
        view.sightings.push_back(*sighting);
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

// Straight lines along bent edges cross beside the tag's centre, each view alike: no scatter tells of it.
TEST(CalibrateLens, FindsTheLensWithinItsUncertaintyFromTagsWhoseEdgesItBends) {
  simulation::Truth truth;
  truth.k1 = -0.1;
  truth.k2 = 0.02;
  truth.k3 = 0.0;
  const LensCalibration found = calibrate_lens(photographed_tags(truth, 16));
  EXPECT_NEAR(found.file.lens.focal_px(), truth.focal_px, 1.0);
  EXPECT_LT(deviates(found, lens_focal_px, truth.focal_px), 3.0);
  EXPECT_LT(deviates(found, lens_principal_x_px, truth.cx), 3.0);
  EXPECT_LT(deviates(found, lens_principal_y_px, truth.cy), 3.0);
  EXPECT_LT(deviates(found, lens_k1, truth.k1), 3.0);
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
  for (const CalibratedView& view : found.views)
    EXPECT_TRUE(!view.used || view.points_left_out == 0) << view.photo;
}

TEST(CalibrateLens, LeavesASingleBadPointOutAndKeepsItsPhoto) {
  const simulation::Truth truth;
  std::vector<BoardView> views = photographed_board(12, 0.05);
  views[5].points_px[20].y() += 3.0;
  const LensCalibration found = calibrate_lens(views);
  EXPECT_EQ(found.file.photos, 12);
  for (const CalibratedView& view : found.views) {
    EXPECT_TRUE(view.used) << view.photo;
    EXPECT_EQ(view.points_left_out, view.photo == "board5.jpg" ? 1u : 0u) << view.photo;
  }
  EXPECT_NEAR(found.file.residual_px, 0.05, 0.005);
  EXPECT_LT(deviates(found, lens_focal_px, truth.focal_px), 3.0);
}

// A reflection may sit in many photos. The noise is found once all of them are out, however many.
TEST(CalibrateLens, FindsTheNoiseAfterABadPointInEveryThirdPhoto) {
  const simulation::Truth truth;
  const std::vector<BoardView> good = photographed_board(66, 0.05);
  std::vector<BoardView> views = good;
  for (std::size_t i = 0; i < views.size(); i += 3) views[i].points_px[20 + i % 5].y() += 3.0;
  const LensCalibration found = calibrate_lens(views);
  EXPECT_EQ(found.file.photos, 66);
  EXPECT_NEAR(found.file.residual_px, 0.05, 0.005);
  EXPECT_LT(deviates(found, lens_focal_px, truth.focal_px), 3.0);
  const double variance = calibrate_lens(good).file.covariance(lens_focal_px, lens_focal_px);
  EXPECT_NEAR(found.file.covariance(lens_focal_px, lens_focal_px) / variance, 1.0, 0.3);
}

TEST(CalibrateLens, CountsCopiesOfAPhotoOnce) {
  std::vector<BoardView> views = photographed_board(8, 0.05);
  const LensCalibration once = calibrate_lens(views);
  for (const BoardView& view : photographed_board(8, 0.05)) {
    views.push_back(view);
    views.back().photo = "copy of " + view.photo;
    views.back().points_px[7].x() += 0.09;  // stored anew
  }
  const LensCalibration found = calibrate_lens(views);
  EXPECT_EQ(found.file.photos, 8);
  EXPECT_EQ(found.file.covariance, once.file.covariance);
  ASSERT_EQ(found.views.size(), 16u);
  for (std::size_t i = 0; i < 16; ++i) EXPECT_EQ(found.views[i].used, i < 8) << found.views[i].photo;
  EXPECT_EQ(found.views[8].photo, "copy of board0.jpg");
  EXPECT_EQ(found.views[8].why_not, "the same picture under another name, counted once");
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
