// SPDX-License-Identifier: Apache-2.0
// Where a picture is dark among its surroundings. Private.
#pragma once

#include <cstdint>
#include <vector>

#include "tags/picture_levels.h"
#include "tags/plane_geometry.h"

namespace pivotfix {

// How much lighter paper must be than ink beside it, in twelfths of sRGB-coded values. Printed black returns
// a tenth or less of the light that paper does (common practice: 0.05 and 0.8); most texture differs less.
// Half of the light leaves room for blur and for glare as bright as the paper itself; two fifths for glare of
// half of that.
enum class InkOnPaper { half_the_light = 16, two_fifths_of_the_light = 18 };

// A threshold for each tile of 4 x 4 pixels: half way between the darkest and the lightest pixel of the tile
// and its eight neighbours, or 0 (nothing is dark) where these differ by little more than noise or by less
// than ink and paper do.
class LocalThreshold {
 public:
  static constexpr int tile_px = 4;
  static constexpr int tiles_of_word = 16;  // rows of limits are padded to so many with zeros

  LocalThreshold(const GreyLevel& level, InkOnPaper least_contrast);

  // Nothing is dark inside any more. The corners are convex, in pixels of the level.
  void clear_inside(const TagCorners& corner_px);

  // Below it a pixel of this row is dark; one value for each tile, up to whole words of tiles.
  const std::uint8_t* row(int y) const {
    return limit_.data() + static_cast<std::size_t>(y / tile_px) * static_cast<std::size_t>(stride_);
  }

 private:
  int columns_ = 0;
  int rows_ = 0;
  int stride_ = 0;
  std::vector<std::uint8_t> limit_{};
};

}  // namespace pivotfix
