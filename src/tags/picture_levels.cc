// SPDX-License-Identifier: Apache-2.0
#include "tags/picture_levels.h"

#include <cstring>

namespace pivotfix {

// Two bytes are taken at a time, whose order does not matter: the compiler makes vector instructions of it.
GreyPicture halved(const GreyPicture& fine) {
  GreyPicture coarse{fine.width_px / 2, fine.height_px / 2, {}};
  const auto width = static_cast<std::size_t>(coarse.width_px);
  coarse.grey.resize(width * coarse.height_px);
  std::vector<std::uint16_t> upper(width), lower(width);
  for (int y = 0; y < coarse.height_px; ++y) {
    const std::uint8_t* from = fine.grey.data() + static_cast<std::size_t>(2 * y) * fine.width_px;
    std::memcpy(upper.data(), from, 2 * width);
    std::memcpy(lower.data(), from + fine.width_px, 2 * width);
    std::uint8_t* to = coarse.grey.data() + static_cast<std::size_t>(y) * width;
    const std::uint16_t* a = upper.data();
    const std::uint16_t* b = lower.data();
    for (std::size_t x = 0; x < width; ++x) {
      const auto above = static_cast<std::uint16_t>((a[x] & 255) + (a[x] >> 8));
      const auto below = static_cast<std::uint16_t>((b[x] & 255) + (b[x] >> 8));
      to[x] = static_cast<std::uint8_t>(static_cast<std::uint16_t>(above + below + 2) >> 2);
    }
  }
  return coarse;
}

}  // namespace pivotfix
