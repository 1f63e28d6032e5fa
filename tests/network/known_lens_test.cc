// SPDX-License-Identifier: Apache-2.0
// A lens file pulls on the lens with its covariance; it is knowledge, not truth.
#include <gtest/gtest.h>

#include "base/problem.h"
#include "simulated_lens_file.h"
#include "simulated_photos.h"

namespace pivotfix {
namespace {

using simulation::photograph;
using simulation::Photographed;
using simulation::Wishes;

// Four photos from one side say little of the lens by themselves.
Photographed few_photos() {
  Photographed photographed = photograph(Wishes{});
  photographed.input.photos.resize(5);
  return photographed;
}

std::string refusal(const NetworkInput& input) {
  try {
    adjust_network(input);
  } catch (const Problem& problem) {
    return problem.what();
  }
  return "";
}

TEST(KnownLens, MakesFewPhotosSurerOfTheLens) {
  Photographed photographed = few_photos();
  const Network without = adjust_network(photographed.input);
  photographed.input.known_lenses = {true_lens(photographed)};
  const Network with = adjust_network(photographed.input);
  EXPECT_LT(with.lenses[0].sigma[lens_principal_x_px], 0.75 * without.lenses[0].sigma[lens_principal_x_px]);
  EXPECT_NEAR(with.lenses[0].lens.focal_px(), photographed.truth.focal_px, 1.0);
  EXPECT_EQ(with.lenses[0].lens_file, "pocket.yml");
}

TEST(KnownLens, GivesWayToWhatThePhotosSay) {
  Photographed photographed = photograph(Wishes{});
  LensFile file = true_lens(photographed);
  file.lens.values[lens_focal_px] += 3.0;
  file.covariance(lens_focal_px, lens_focal_px) = 9.0;
  photographed.input.known_lenses = {file};
  const Network network = adjust_network(photographed.input);
  EXPECT_NEAR(network.lenses[0].lens.focal_px(), photographed.truth.focal_px, 1.0);
}

TEST(KnownLens, IsRefusedWhenThePhotosContradictIt) {
  Photographed photographed = photograph(Wishes{});
  LensFile file = true_lens(photographed);
  file.lens.values[lens_focal_px] *= 1.02;
  photographed.input.known_lenses = {file};
  EXPECT_NE(refusal(photographed.input).find("pocket.yml: The lens file does not fit these photos"),
            std::string::npos)
      << refusal(photographed.input);
}

TEST(KnownLens, OfAnotherCameraIsRefused) {
  Photographed photographed = few_photos();
  LensFile file = true_lens(photographed);
  file.camera.width_px = 4000;
  photographed.input.known_lenses = {file};
  EXPECT_NE(refusal(photographed.input).find("is of another camera or picture size"), std::string::npos);
}

// Distortion shows towards the picture's edge only.
TEST(KnownLens, IsWhatPhotosWithTagsInTheMiddleLack) {
  Photographed photographed = photograph(Wishes{});
  EXPECT_TRUE(adjust_network(photographed.input).lenses[0].undetermined.empty());
  photographed.input.scale_bars.clear();
  const Eigen::Vector2d middle(photographed.truth.cx, photographed.truth.cy);
  for (PhotoSightings& photo : photographed.input.photos)
    std::erase_if(photo.sightings, [&](const Sighting& s) { return (s.centre_px - middle).norm() > 420.0; });
  const auto undetermined = adjust_network(photographed.input).lenses[0].undetermined;
  EXPECT_NE(std::find(undetermined.begin(), undetermined.end(), lens_k3), undetermined.end());
}

}  // namespace
}  // namespace pivotfix
