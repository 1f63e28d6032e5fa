// SPDX-License-Identifier: Apache-2.0
// A network adjusted from an earlier one against the same adjusted from nothing.
#include "network/warm_start.h"

#include <gtest/gtest.h>

#include "simulated_photos.h"

namespace pivotfix {
namespace {

using simulation::photograph;
using simulation::Photographed;
using simulation::Wishes;

NetworkInput first_photos(NetworkInput input, std::size_t count) {
  input.photos.resize(count);
  return input;
}

double length_mm(const Network& network, std::size_t a, std::size_t b) {
  return (network.tags[a].network_from_tag.translation_mm - network.tags[b].network_from_tag.translation_mm)
      .norm();
}

double length_sigma_mm(const Network& network, std::size_t a, std::size_t b) {
  const auto block = [&](std::size_t i, std::size_t k) {
    return network.tag_covariance.block<3, 3>(6 * i, 6 * k);
  };
  const Eigen::Matrix3d spread = block(a, a) + block(b, b) - block(a, b) - block(b, a);
  const Eigen::Vector3d along =
      (network.tags[a].network_from_tag.translation_mm - network.tags[b].network_from_tag.translation_mm)
          .normalized();
  return std::sqrt(along.dot(spread * along));
}

// Nothing that a reader of the result could tell apart: lengths to a twentieth of their own uncertainty, that
// uncertainty to the second digit, the same sightings rejected.
void expect_same(const Network& warm, const Network& cold) {
  ASSERT_EQ(warm.tags.size(), cold.tags.size());
  double most = 0.0;
  for (std::size_t a = 0; a < cold.tags.size(); ++a)
    for (std::size_t b = 0; b < a; ++b) {
      const double sigma_mm = length_sigma_mm(cold, a, b);
      most = std::max(most, std::abs(length_mm(warm, a, b) - length_mm(cold, a, b)) / sigma_mm);
      EXPECT_NEAR(length_sigma_mm(warm, a, b), sigma_mm, 0.05 * sigma_mm);
    }
  EXPECT_LT(most, 0.05);
  ASSERT_EQ(warm.rejected.size(), cold.rejected.size());
  for (std::size_t i = 0; i < cold.rejected.size(); ++i) {
    EXPECT_EQ(warm.rejected[i].photo, cold.rejected[i].photo);
    EXPECT_EQ(warm.rejected[i].tag_number, cold.rejected[i].tag_number);
  }
  EXPECT_EQ(warm.warnings, cold.warnings);
}

Photographed stabilised() {
  Wishes wishes;
  wishes.principal_shift_px = 3.0;
  wishes.focal_change = 1e-3;
  return photograph(wishes);
}

TEST(WarmStart, ComesToTheSameNetworkWhenPhotosAreAdded) {
  const NetworkInput input = stabilised().input;
  const Network before = adjust_network(first_photos(input, 18));
  expect_same(adjust_network_again(input, before), adjust_network(input));
}

TEST(WarmStart, ComesToTheSameNetworkWhenPhotosAreTakenAway) {
  const NetworkInput input = stabilised().input;
  const Network before = adjust_network(input);
  const NetworkInput fewer = first_photos(input, 17);
  expect_same(adjust_network_again(fewer, before), adjust_network(fewer));
}

TEST(WarmStart, RejectsTheSameSightings) {
  NetworkInput input = photograph(Wishes{}).input;
  for (const std::size_t photo : {4U, 20U})
    for (auto& edge : input.photos[photo].sightings[7].edge_points)
      for (EdgePoint& point : edge) point.point_px.x() += 3.0;
  const Network before = adjust_network(first_photos(input, 18));
  const Network cold = adjust_network(input);
  EXPECT_EQ(cold.rejected.size(), 2u);
  expect_same(adjust_network_again(input, before), cold);
}

// The earlier result has the tag where only the first photos show it.
TEST(WarmStart, GivesWayWhereATagStandsElsewhereInMostPhotos) {
  const Wishes wishes;
  const Photographed first = photograph(wishes);
  simulation::Truth moved = first.truth;
  moved.world_from_tag[10].translation_mm.x() += 20.0;
  std::mt19937 random(7);
  NetworkInput input = photograph(moved, wishes, random).input;
  for (std::size_t i = 0; i < input.photos.size(); i += 4) input.photos[i] = first.input.photos[i];
  NetworkInput early = input;
  early.photos.clear();
  for (std::size_t i = 0; i < input.photos.size(); i += 4) early.photos.push_back(input.photos[i]);
  const Network cold = adjust_network(input);
  EXPECT_FALSE(cold.warnings.empty());
  expect_same(adjust_network_again(input, adjust_network(early)), cold);
}

TEST(WarmStart, StartsFromNothingWhereNothingIsKnown) {
  const NetworkInput input = photograph(Wishes{}).input;
  const Network warm = adjust_network_again(input, Network{}), cold = adjust_network(input);
  ASSERT_EQ(warm.tag_covariance.rows(), cold.tag_covariance.rows());
  EXPECT_TRUE(warm.tag_covariance == cold.tag_covariance);
}

TEST(WarmStart, GivesEqualBytesForEqualInputs) {
  const NetworkInput input = stabilised().input;
  const Network before = adjust_network(first_photos(input, 18));
  const Network once = adjust_network_again(input, before), twice = adjust_network_again(input, before);
  EXPECT_TRUE(once.tag_covariance == twice.tag_covariance);
  for (std::size_t i = 0; i < once.tags.size(); ++i)
    EXPECT_TRUE(once.tags[i].network_from_tag.translation_mm ==
                twice.tags[i].network_from_tag.translation_mm);
}

}  // namespace
}  // namespace pivotfix
