// SPDX-License-Identifier: Apache-2.0
#include "tags/dark_rows.h"

#include <algorithm>
#include <array>
#include <cstring>

#ifdef __SSE2__
#include <emmintrin.h>
#endif

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

#ifdef __SSE2__

// Bit i is pixel i of the word. Sixteen pixels are compared at once: unsigned bytes are in order when they
// are so as signed ones after their top bits are turned over.
std::uint64_t DarkRows::dark_bits(const std::uint8_t* grey, const std::uint8_t* limit) {
  constexpr int at_once = 16;
  const __m128i top_bit = _mm_set1_epi8(static_cast<char>(0x80));
  std::uint64_t word = 0;
  for (int x = 0; x < word_px; x += at_once) {
    const __m128i here = _mm_xor_si128(_mm_loadu_si128(reinterpret_cast<const __m128i*>(grey + x)), top_bit);
    const __m128i below =
        _mm_xor_si128(_mm_loadu_si128(reinterpret_cast<const __m128i*>(limit + x)), top_bit);
    const auto bits = static_cast<unsigned>(_mm_movemask_epi8(_mm_cmplt_epi8(here, below)));
    word |= static_cast<std::uint64_t>(bits) << x;
  }
  return word;
}

#else

std::uint64_t DarkRows::dark_bits(const std::uint8_t* grey, const std::uint8_t* limit) {
  std::uint64_t word = 0;
  for (int x = 0; x < word_px; ++x) word |= static_cast<std::uint64_t>(grey[x] < limit[x]) << x;
  return word;
}

#endif

std::uint64_t DarkRows::dark_word(int y, std::size_t w) const {
  const std::size_t begin = w * word_px;
  const std::uint8_t* grey = level_.row(y) + begin;
  const std::size_t inside = static_cast<std::size_t>(level_.width_px) - begin;
  if (inside >= word_px) return dark_bits(grey, limit_.data() + begin);
  std::array<std::uint8_t, word_px> last;
  last.fill(255);
  std::memcpy(last.data(), grey, inside);
  return dark_bits(last.data(), limit_.data() + begin);
}

}  // namespace pivotfix
