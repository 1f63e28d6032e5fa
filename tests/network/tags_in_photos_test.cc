// SPDX-License-Identifier: Apache-2.0
// What is drawn into the photos, against the figures that the adjustment itself gives.
#include "network/tags_in_photos.h"

#include <gtest/gtest.h>

#include "simulated_photos.h"

namespace pivotfix {
namespace {

TEST(TagsInPhotos, MissesAddUpToTheStationsOwnFigure) {
  const simulation::Photographed photographed = simulation::photograph(simulation::Wishes{});
  const Network network = adjust_network(photographed.input);
  const auto tags = tags_in_photos(network, photographed.input.photos);
  ASSERT_EQ(tags.size(), network.stations.size());
  for (std::size_t i = 0; i < tags.size(); ++i) {
    double squares = 0.0;
    int used = 0;
    for (const TagInPhoto& tag : tags[i]) {
      if (!tag.used) continue;
      squares += tag.miss_px.squaredNorm();
      ++used;
    }
    EXPECT_EQ(used, network.stations[i].sightings);
    EXPECT_NEAR(std::sqrt(squares / (2.0 * used)), network.stations[i].rms_px,
                0.02 * network.stations[i].rms_px);
  }
}

TEST(TagsInPhotos, ShowsARejectedTagAsSuchAndHowFarItIsOff) {
  simulation::Photographed photographed = simulation::photograph(simulation::Wishes{});
  Sighting& moved = photographed.input.photos[3].sightings[2];
  const Eigen::Vector2d off(6.0, -2.0);
  moved.centre_px += off;
  for (Eigen::Vector2d& corner : moved.corner_px) corner += off;
  for (auto& edge : moved.edge_points)
    for (EdgePoint& point : edge) point.point_px += off;
  const Network network = adjust_network(photographed.input);
  const TagInPhoto tag = tags_in_photos(network, photographed.input.photos)[3][2];
  EXPECT_EQ(tag.number, moved.tag_number);
  EXPECT_FALSE(tag.used);
  EXPECT_NEAR((tag.miss_px - off).norm(), 0.0, 0.5);
}

}  // namespace
}  // namespace pivotfix
