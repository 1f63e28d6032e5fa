// SPDX-License-Identifier: Apache-2.0
// Errors that the model of a photo does not know must be in the stated uncertainty. Wider checks of the same
// print a table: tests/bench/few_photos_bench.cc.
#include "bent_pictures.h"

#include <gtest/gtest.h>

#include <algorithm>

namespace pivotfix {
namespace {

using simulation::Bend;
using simulation::Photographed;

struct Found {
  double squares_per_freedom = 0.0;  // mean
  int said = 0;                      // networks with a sentence about bent pictures
};

constexpr int networks = 5;

Found networks_of(int photos, const Bend& by) {
  Found found;
  for (unsigned seed = 1; seed <= networks; ++seed) {
    simulation::Wishes wishes;
    wishes.photos = photos;
    wishes.seed = seed;
    Photographed photographed = photograph(wishes);
    bend(photographed, by, seed);
    const Network network = adjust_network(photographed.input);
    found.squares_per_freedom += squares_per_freedom(network, photographed.truth) / networks;
    found.said += std::any_of(network.warnings.begin(), network.warnings.end(), [](const std::string& said) {
      return said.find("pictures are bent") != std::string::npos;
    });
  }
  return found;
}

// Networks of one kind scatter by some 0.4 about their mean.
void expect_honest(int photos, const Bend& by, bool is_bent) {
  const Found found = networks_of(photos, by);
  EXPECT_GT(found.squares_per_freedom, 0.4) << photos << " photos";
  EXPECT_LT(found.squares_per_freedom, 2.0) << photos << " photos";
  if (is_bent)
    EXPECT_GE(found.said, networks - 1) << photos << " photos";  // a small bend is only in the width
  else
    EXPECT_EQ(found.said, 0) << photos << " photos";
}

TEST(BentPictures, AreInTheUncertaintyOfFewPhotosAndSaid) {
  for (const int photos : {5, 7, 10}) expect_honest(photos, {.warp_px = 0.3}, true);
}

TEST(BentPictures, OfAPhoneThatSwayedAreInTheUncertaintyOfFewPhotosAndSaid) {
  for (const int photos : {6, 12}) expect_honest(photos, {.sway_px = 0.5}, true);
}

TEST(BentPictures, DoNotWidenTheUncertaintyOfStraightOnes) {
  for (const int photos : {5, 7, 10}) expect_honest(photos, {}, false);
}

}  // namespace
}  // namespace pivotfix
