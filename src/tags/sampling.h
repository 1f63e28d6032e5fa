// SPDX-License-Identifier: Apache-2.0
// Grey values between pixels. Private.
#pragma once

#include <algorithm>
#include <cmath>

#include "photos/photos.h"

namespace pivotfix {

// Bilinear, from 0 up to but not including the last column and row.
inline double grey_inside(const GreyPicture& picture, double x, double y) {
  const int left = static_cast<int>(x);
  const int top = static_cast<int>(y);
  const double across = x - left;
  const double down = y - top;
  const std::uint8_t* above = picture.grey.data() + static_cast<std::size_t>(top) * picture.width_px + left;
  const std::uint8_t* below = above + picture.width_px;
  return (above[0] * (1 - across) + above[1] * across) * (1 - down) +
         (below[0] * (1 - across) + below[1] * across) * down;
}

// Bilinear; outside the picture the nearest border value.
inline double grey_at(const GreyPicture& picture, double x, double y) {
  const double inside_x = std::clamp(x, 0.0, picture.width_px - 1.0);
  const double inside_y = std::clamp(y, 0.0, picture.height_px - 1.0);
  const int left = std::min(static_cast<int>(inside_x), std::max(0, picture.width_px - 2));
  const int top = std::min(static_cast<int>(inside_y), std::max(0, picture.height_px - 2));
  const double across = inside_x - left;
  const double down = inside_y - top;
  const std::size_t here = static_cast<std::size_t>(top) * picture.width_px + left;
  const std::size_t right = picture.width_px > 1 ? 1 : 0;
  const std::size_t below = picture.height_px > 1 ? picture.width_px : 0;
  const auto& grey = picture.grey;
  return (grey[here] * (1 - across) + grey[here + right] * across) * (1 - down) +
         (grey[here + below] * (1 - across) + grey[here + below + right] * across) * down;
}

}  // namespace pivotfix
