// SPDX-License-Identifier: Apache-2.0
#include "tags/dark_rows.h"

#include <array>
#include <bit>
#include <cstring>

#ifdef __SSE2__
#include <emmintrin.h>
#endif

namespace pivotfix {
namespace {

constexpr int word_bits = 64;

#ifdef __SSE2__

// Bit i is pixel i of the word. Sixteen pixels are compared at once: the greater of two bytes is the first
// where that one is not below the second.
std::uint64_t dark_bits(const std::uint8_t* grey, const std::uint8_t* limit) {
  constexpr int at_once = 16;
  std::uint64_t light = 0;
  for (int x = 0; x < word_bits; x += at_once) {
    const __m128i here = _mm_loadu_si128(reinterpret_cast<const __m128i*>(grey + x));
    const __m128i below = _mm_loadu_si128(reinterpret_cast<const __m128i*>(limit + x));
    const auto bits =
        static_cast<unsigned>(_mm_movemask_epi8(_mm_cmpeq_epi8(_mm_max_epu8(here, below), here)));
    light |= static_cast<std::uint64_t>(bits) << x;
  }
  return ~light;
}

#else

std::uint64_t dark_bits(const std::uint8_t* grey, const std::uint8_t* limit) {
  std::uint64_t word = 0;
  for (int x = 0; x < word_bits; ++x) word |= static_cast<std::uint64_t>(grey[x] < limit[x]) << x;
  return word;
}

#endif

}  // namespace

DarkRows::DarkRows(const GreyLevel& level, const LocalThreshold& threshold)
    : level_(level),
      threshold_(threshold),
      limit_(static_cast<std::size_t>((level.width_px + word_px - 1) / word_px) *
             LocalThreshold::tiles_of_word),
      active_(limit_.size() / LocalThreshold::tiles_of_word) {
  static_assert(word_px == word_bits);
  static_assert(LocalThreshold::tile_px == sizeof(std::uint32_t));
}

void DarkRows::take_limits(int y) {
  const std::uint8_t* const of_tile = threshold_.row(y);
  std::uint32_t* const to = limit_.data();
  const std::size_t tiles = limit_.size();
  for (std::size_t c = 0; c < tiles; ++c) {
    const std::uint32_t two = of_tile[c] | static_cast<std::uint32_t>(of_tile[c]) << 8;
    to[c] = two | two << 16;
  }
  for (std::size_t w = 0; w < active_.size(); ++w) {
    std::array<std::uint64_t, 2> limits{};
    std::memcpy(limits.data(), of_tile + w * LocalThreshold::tiles_of_word, sizeof limits);
    active_[w] = (limits[0] | limits[1]) != 0;
  }
}

std::uint64_t DarkRows::dark_word(const std::uint8_t* row, std::size_t w) const {
  const std::size_t begin = w * word_px;
  const std::size_t inside = static_cast<std::size_t>(level_.width_px) - begin;
  if (inside >= word_px) return dark_bits(row + begin, limits_of_word(w));
  std::array<std::uint8_t, word_px> last;  // with white beyond the picture
  last.fill(255);
  std::memcpy(last.data(), row + begin, inside);
  return dark_bits(last.data(), limits_of_word(w));
}

int* DarkRows::places_of_change(int y, int* to) {
  if (y % LocalThreshold::tile_px == 0) take_limits(y);
  const std::uint8_t* const row = level_.row(y);
  std::uint64_t carried = 0;  // whether the last pixel of the word before was dark
  int begin = 0;
  for (std::size_t w = 0; w < active_.size(); ++w, begin += word_px) {
    const std::uint64_t dark = active_[w] != 0 ? dark_word(row, w) : 0;
    for (std::uint64_t change = dark ^ (dark << 1 | carried); change != 0; change &= change - 1)
      *to++ = begin + std::countr_zero(change);
    carried = dark >> (word_bits - 1);
  }
  if (carried != 0) *to++ = level_.width_px;
  return to;
}

}  // namespace pivotfix
