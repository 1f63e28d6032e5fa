// SPDX-License-Identifier: Apache-2.0
#include "tags/dark_rows.h"

#include <algorithm>
#include <array>
#include <bit>
#include <cstring>

namespace pivotfix {

DarkRows::DarkRows(const GreyLevel& level, const LocalThreshold& threshold)
    : level_(level),
      threshold_(threshold),
      limit_(static_cast<std::size_t>((level.width_px + word_px - 1) / word_px) * word_px),
      active_(limit_.size() / word_px) {}

void DarkRows::take_limits(int y) {
  constexpr int tile = LocalThreshold::tile_px;
  constexpr std::size_t tiles_of_word = word_px / tile;
  const std::uint8_t* of_tile = threshold_.row(y);
  const auto columns = static_cast<std::size_t>(threshold_.columns());
  std::uint8_t* const to = limit_.data();
  for (std::size_t w = 0; w < active_.size(); ++w) {
    const std::size_t begin = w * tiles_of_word;
    const std::size_t end = std::min(begin + tiles_of_word, columns);
    active_[w] = std::any_of(of_tile + begin, of_tile + end, [](std::uint8_t limit) { return limit != 0; });
    if (!active_[w]) continue;
    for (std::size_t c = begin; c < end; ++c) std::memset(to + c * tile, of_tile[c], tile);
  }
  // The last tile may reach beyond the picture.
  std::fill(limit_.begin() + level_.width_px, limit_.end(), std::uint8_t{0});
}

// Bit i is pixel i of the word. A byte of eight pixels, each 0 or 1, becomes eight bits by one
// multiplication: pixel i, at bit 8 i, meets 2^(7 (8 - i)) and lands at bit 56 + i; no two products share a
// bit.
std::uint64_t DarkRows::dark_word(int y, std::size_t w) const {
  static_assert(std::endian::native == std::endian::little);
  constexpr std::uint64_t gather = 0x0102040810204080ULL;
  const std::size_t begin = w * word_px;
  std::array<std::uint8_t, word_px> grey;
  const std::size_t inside =
      std::min<std::size_t>(word_px, static_cast<std::size_t>(level_.width_px) - begin);
  if (inside < word_px) grey.fill(255);
  std::memcpy(grey.data(), level_.row(y) + begin, inside);
  const std::uint8_t* limit = limit_.data() + begin;
  std::array<std::uint8_t, word_px> dark;
  for (int x = 0; x < word_px; ++x) dark[x] = grey[x] < limit[x];
  std::uint64_t word = 0;
  for (int i = 0; i < word_px / 8; ++i) {
    std::uint64_t eight = 0;
    std::memcpy(&eight, dark.data() + 8 * i, sizeof eight);
    word |= (eight * gather >> 56) << (8 * i);
  }
  return word;
}

}  // namespace pivotfix
