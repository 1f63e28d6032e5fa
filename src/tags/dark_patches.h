// SPDX-License-Identifier: Apache-2.0
// Connected patches that are dark among their surroundings: what a tag's border is on its paper. Private.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

namespace pivotfix {

// One level of the picture's pyramid.
struct GreyLevel {
  int width_px = 0;
  int height_px = 0;
  std::span<const std::uint8_t> grey{};

  const std::uint8_t* row(int y) const { return grey.data() + static_cast<std::size_t>(y) * width_px; }
};

struct PixelPlace {
  int x = 0;
  int y = 0;
};

// The rim of a patch as seen from the four sides of the picture: first and last pixel of each row and of
// each column. For a convex patch that is its whole outline.
struct DarkPatch {
  std::vector<PixelPlace> row_ends{};     // first and last of each row, from the top
  std::vector<PixelPlace> column_ends{};  // first and last of each column, from the left
};

// Patches (neighbours also across corners) at least `smallest_side_px` long and 0.4 of that wide.
std::vector<DarkPatch> find_dark_patches(const GreyLevel& level, double smallest_side_px);

}  // namespace pivotfix
