// SPDX-License-Identifier: Apache-2.0
// Which of a network's tags stand for a part at a height.
#include "locate/traced_network.h"

#include <gtest/gtest.h>

namespace pivotfix {
namespace {

TagInSpace tag_in(const std::string& set, int number, int photos) {
  TagInSpace tag;
  tag.number = number;
  tag.set = set;
  tag.photos = photos;
  return tag;
}

// Between positions of the pointer the hub is seen as well, in two photos; twelve were taken for it. All its
// tags are those of one set, also one that another set shows more often: between sets the hub may turn.
TEST(TracedNetwork, TakesABodyAsThePartOfTheHeightShowsItThatHasMostPhotosOfIt) {
  Network network;
  for (const int number : {56, 57}) {
    network.tags.push_back(tag_in("ride/pointer/dent 1", number, number == 56 ? 2 : 9));
    network.tags.push_back(tag_in("ride/turn 0", number, number == 56 ? 12 : 8));
    network.tags.push_back(tag_in("up 20/turn 0", number, 30));
  }
  network.tag_covariance = Eigen::MatrixXd::Identity(36, 36);
  const Body hub{"hub", {56, 57}};
  const TracedNetwork traced(network, 0, {hub});
  EXPECT_EQ(traced.best_set_of(hub, "ride"), "ride/turn 0");
  EXPECT_EQ(traced.index_of(56, "ride"), network.index_of_tag(56, "ride/turn 0"));
  EXPECT_EQ(traced.index_of(57, "ride"), network.index_of_tag(57, "ride/turn 0"));
  EXPECT_EQ(traced.best_set_of(hub, "down 20"), "");
  EXPECT_EQ(traced.index_of(56, "down 20"), -1);
}

}  // namespace
}  // namespace pivotfix
