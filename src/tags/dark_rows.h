// SPDX-License-Identifier: Apache-2.0
// Which pixels are dark, a row at a time. Private.
#pragma once

#include <bit>
#include <cstdint>
#include <vector>

#include "tags/local_threshold.h"

namespace pivotfix {

// Hands out the dark stretches of one row after the other. Sixty-four pixels are compared at once; where the
// threshold says that nothing is dark they are not even looked at.
class DarkRows {
 public:
  DarkRows(const GreyLevel& level, const LocalThreshold& threshold);

  // visit(first, last) for each stretch of dark pixels in row y, from the left. Rows must come in order.
  template <typename Visit>
  void for_each_stretch(int y, const Visit& visit) {
    if (y % LocalThreshold::tile_px == 0) take_limits(y);
    const int width_px = level_.width_px;
    std::uint64_t carried = 0;  // whether the last pixel of the word before was dark
    int first = 0;
    for (std::size_t w = 0; w < active_.size(); ++w) {
      const std::uint64_t dark = active_[w] ? dark_word(y, w) : 0;
      const int begin = static_cast<int>(w) * word_px;
      // Bits where a stretch begins or ends.
      for (std::uint64_t change = dark ^ (dark << 1 | carried); change != 0; change &= change - 1) {
        const int x = begin + std::countr_zero(change);
        if (carried == 0) {
          first = x;
        } else {
          visit(first, x - 1);
        }
        carried ^= 1;
      }
    }
    if (carried != 0) visit(first, width_px - 1);
  }

 private:
  static constexpr int word_px = 64;

  void take_limits(int y);
  std::uint64_t dark_word(int y, std::size_t w) const;
  static std::uint64_t dark_bits(const std::uint8_t* grey, const std::uint8_t* limit);

  const GreyLevel level_;
  const LocalThreshold& threshold_;
  std::vector<std::uint8_t> limit_;   // of each pixel of the row, zeros up to whole words
  std::vector<std::uint8_t> active_;  // of each word of 64 pixels: whether anything can be dark there
};

}  // namespace pivotfix
