// SPDX-License-Identifier: Apache-2.0
// Which pixels are dark, a row at a time. Private.
#pragma once

#include <cstdint>
#include <vector>

#include "tags/local_threshold.h"

namespace pivotfix {

// Hands out the dark stretches of one row after the other. Sixty-four pixels are compared at once; where the
// threshold says that nothing is dark they are not even looked at.
class DarkRows {
 public:
  DarkRows(const GreyLevel& level, const LocalThreshold& threshold);

  // Writes where row y turns dark, where light again, and so on from the left, and returns the end of what it
  // wrote: an even number of places, one more than the row's pixels at most. Rows must come in order.
  int* places_of_change(int y, int* to);

 private:
  static constexpr int word_px = LocalThreshold::tiles_of_word * LocalThreshold::tile_px;

  void take_limits(int y);
  std::uint64_t dark_word(const std::uint8_t* row, std::size_t w) const;
  const std::uint8_t* limits_of_word(std::size_t w) const {
    return reinterpret_cast<const std::uint8_t*>(limit_.data()) + w * word_px;
  }

  const GreyLevel level_;
  const LocalThreshold& threshold_;
  std::vector<std::uint32_t> limit_;  // of the four pixels of each tile of the row, up to whole words
  std::vector<std::uint8_t> active_;  // of each word of 64 pixels: whether anything can be dark there
};

}  // namespace pivotfix
