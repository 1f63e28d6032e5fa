// SPDX-License-Identifier: Apache-2.0
// The picture, halved and quartered. Private.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "photos/photos.h"

namespace pivotfix {

// One level of the picture's pyramid.
struct GreyLevel {
  int width_px = 0;
  int height_px = 0;
  std::span<const std::uint8_t> grey{};

  const std::uint8_t* row(int y) const { return grey.data() + static_cast<std::size_t>(y) * width_px; }
};

// Means of 2 x 2 pixels; an odd last row or column is left out.
GreyPicture halved(const GreyPicture& fine);

}  // namespace pivotfix
