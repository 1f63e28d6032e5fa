// SPDX-License-Identifier: Apache-2.0
// Two sightings that must be the same to the last bit.
#pragma once

#include <gtest/gtest.h>

#include "tags/tags.h"

namespace pivotfix {

inline void expect_same(const Sighting& one, const Sighting& other) {
  EXPECT_EQ(one.tag_number, other.tag_number);
  EXPECT_EQ(one.centre_px, other.centre_px);
  EXPECT_EQ(one.corner_px, other.corner_px);
  for (std::size_t edge = 0; edge < one.edge_points.size(); ++edge) {
    ASSERT_EQ(one.edge_points[edge].size(), other.edge_points[edge].size());
    for (std::size_t i = 0; i < one.edge_points[edge].size(); ++i)
      EXPECT_EQ(one.edge_points[edge][i].point_px, other.edge_points[edge][i].point_px);
  }
  EXPECT_EQ(one.edge_noise_px, other.edge_noise_px);
  EXPECT_EQ(one.rim_doubt_px, other.rim_doubt_px);
  EXPECT_EQ(one.blur_px, other.blur_px);
  EXPECT_EQ(one.contrast, other.contrast);
  EXPECT_EQ(one.white, other.white);
  EXPECT_EQ(one.wrong_cells, other.wrong_cells);
}

}  // namespace pivotfix
