// SPDX-License-Identifier: Apache-2.0
#include "tags/quad_shape.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cstdlib>

namespace pivotfix {
namespace {

// A square that stands on a corner: its rows begin and end with a single pixel.
DarkPatch diamond(int middle_x, int half) {
  DarkPatch patch;
  patch.left = middle_x - half;
  patch.right = middle_x + half;
  for (int y = 0; y <= 2 * half; ++y) {
    const int reach = half - std::abs(y - half);
    patch.runs.push_back({y, middle_x - reach, middle_x + reach});
    patch.dark_px += (2 * reach + 1) * 3 / 4;  // some of it is white inside
  }
  return patch;
}

TEST(FourSides, OfASquareOnItsCornerEndInItsCorners) {
  const auto quads = four_sides_of(diamond(50, 20), PatchWish{});
  ASSERT_EQ(quads.size(), 1U);
  for (const Eigen::Vector2d& corner :
       {Eigen::Vector2d(50, 0), Eigen::Vector2d(70, 20), Eigen::Vector2d(50, 40), Eigen::Vector2d(30, 20)})
    EXPECT_TRUE(std::any_of(quads.front().begin(), quads.front().end(), [&](const Eigen::Vector2d& found) {
      return (found - corner).norm() < 1.0;  // half a pixel outwards on each side
    })) << corner.transpose();
}

// A single dark pixel above the top edge must not hide a side.
TEST(FourSides, OfAnUprightSquareWithASpeckOnItAreStillItsOwn) {
  DarkPatch patch;
  patch.left = 10;
  patch.right = 49;
  patch.runs.push_back({0, 30, 30});
  for (int y = 1; y <= 40; ++y) patch.runs.push_back({y, 10, 49});
  patch.dark_px = 1200;
  const auto quads = four_sides_of(patch, PatchWish{});
  ASSERT_EQ(quads.size(), 1U);
  for (const Eigen::Vector2d& corner : quads.front()) {
    EXPECT_LT(std::min(std::abs(corner.x() - 9.5), std::abs(corner.x() - 49.5)), 0.3) << corner.transpose();
    EXPECT_LT(std::min(std::abs(corner.y() - 0.5), std::abs(corner.y() - 40.5)), 0.3) << corner.transpose();
  }
}

// With nothing but its rim it is no tag, and rows without any length are no square.
TEST(FourSides, AreNotMadeUpForLines) {
  DarkPatch line;
  line.left = 0;
  line.right = 40;
  line.runs.push_back({5, 0, 40});
  line.dark_px = 41;
  EXPECT_TRUE(four_sides_of(line, PatchWish{}).empty());
}

}  // namespace
}  // namespace pivotfix
