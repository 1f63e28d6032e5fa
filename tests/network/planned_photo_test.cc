// SPDX-License-Identifier: Apache-2.0
// Predictions for a photo against the photo itself: it is simulated and everything is adjusted anew.
#include "network/planned_photo.h"

#include <gtest/gtest.h>

#include <cmath>

#include "simulated_photos.h"

namespace pivotfix {
namespace {

using simulation::Photographed;
using simulation::Wishes;

Network adjust_first(const Photographed& photographed, std::size_t photos) {
  NetworkInput input = photographed.input;
  input.photos.resize(photos);
  return adjust_network(input);
}

// Distances from tag `numbers[0]` to the others by all that the network adjusts.
Eigen::MatrixXd lengths_by_joint(const Network& network, const std::vector<int>& numbers) {
  Eigen::MatrixXd rows =
      Eigen::MatrixXd::Zero(static_cast<Eigen::Index>(numbers.size()) - 1, network.joint_covariance.cols());
  const int from = network.index_of_tag(numbers.front());
  for (std::size_t i = 1; i < numbers.size(); ++i) {
    const int to = network.index_of_tag(numbers[i]);
    const Eigen::Vector3d along = (network.tags[to].network_from_tag.translation_mm -
                                   network.tags[from].network_from_tag.translation_mm)
                                      .normalized();
    rows.block<1, 3>(static_cast<Eigen::Index>(i) - 1, 6 * to) = along.transpose();
    rows.block<1, 3>(static_cast<Eigen::Index>(i) - 1, 6 * from) = -along.transpose();
  }
  return rows;
}

double root_mean(const Eigen::VectorXd& variances) {
  return std::sqrt(variances.mean());
}

// The networks' frames differ: go through a tag.
PlannedPhoto as_taken(const Network& before, const Network& after, const PhotoSightings& taken) {
  PlannedPhoto planned;
  int tag = -1;
  for (const Sighting& sighting : taken.sightings)
    if (before.index_of_tag(sighting.tag_number) >= 0 && after.index_of_tag(sighting.tag_number) >= 0)
      tag = sighting.tag_number;
  planned.network_from_camera = before.tags[before.index_of_tag(tag)].network_from_tag *
                                after.tags[after.index_of_tag(tag)].network_from_tag.inverse() *
                                after.stations.back().network_from_camera;
  for (const Sighting& sighting : taken.sightings)
    if (const int index = before.index_of_tag(sighting.tag_number); index >= 0) planned.tags.push_back(index);
  return planned;
}

class PlannedPhotos : public testing::TestWithParam<int> {};

// Five photos are stated 1.7 times as wide as they say: one more does no more than its share against that.
TEST_P(PlannedPhotos, ArePredictedToBringWhatTheAdjustmentWithThemStates) {
  for (const unsigned seed : {1U, 2U, 3U}) {
    Wishes wishes;
    wishes.seed = seed;
    wishes.photos = GetParam();
    // Spreads that one photo less tells about as well.
    wishes.principal_shift_px = 4.0;
    wishes.focal_change = 1e-3;
    wishes.turn_rad = 4e-4;
    const Photographed photographed = photograph(wishes);
    const Network before = adjust_first(photographed, photographed.input.photos.size() - 1);
    const Network after = adjust_network(photographed.input);
    std::vector<int> common;
    for (const TagInSpace& tag : before.tags)
      if (after.index_of_tag(tag.number) >= 0) common.push_back(tag.number);
    const PhotoInformation information =
        information_of(as_taken(before, after, photographed.input.photos.back()), before,
                       edge_quality(photographed.input.photos));
    const Eigen::MatrixXd rows = lengths_by_joint(before, common);
    const Eigen::VectorXd now = (rows * before.joint_covariance * rows.transpose()).diagonal();
    const Eigen::VectorXd predicted = now - variance_drop(before.joint_covariance, information, rows);
    const Eigen::MatrixXd rows_after = lengths_by_joint(after, common);
    const Eigen::VectorXd stated = (rows_after * after.joint_covariance * rows_after.transpose()).diagonal();
    // What the last photo says of the noise in all of them cannot be predicted, nor what it says of how much
    // photos shift and turn.
    const double noise = before.noise_factor * before.widened / (after.noise_factor * after.widened);
    EXPECT_LT(root_mean(predicted), root_mean(now));
    const double ratio = root_mean(predicted) / (noise * root_mean(stated));
    EXPECT_GT(ratio, 0.97) << "no more is promised than comes";
    EXPECT_LT(ratio, 1.07);
  }
}

INSTANTIATE_TEST_SUITE_P(FewAndUsual, PlannedPhotos, testing::Values(5, 16));

// Two ways to the same numbers.
TEST(PlannedPhoto, LowersTheCovarianceByWhatItLowersEachVariance) {
  const Photographed photographed = photograph(Wishes{});
  const Network network = adjust_first(photographed, 8);
  PlannedPhoto planned;
  planned.network_from_camera = network.stations[2].network_from_camera;
  for (std::size_t i = 0; i < network.tags.size(); i += 2) planned.tags.push_back(static_cast<int>(i));
  const PhotoInformation information = information_of(planned, network, {});
  const Eigen::MatrixXd after = covariance_with(network.joint_covariance, information);
  Eigen::MatrixXd rows = Eigen::MatrixXd::Random(3, after.cols());
  const Eigen::VectorXd dropped = (rows * (network.joint_covariance - after) * rows.transpose()).diagonal();
  EXPECT_TRUE(dropped.isApprox(variance_drop(network.joint_covariance, information, rows), 1e-6));
  EXPECT_GT(dropped.minCoeff(), 0.0);
}

}  // namespace
}  // namespace pivotfix
