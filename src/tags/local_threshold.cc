// SPDX-License-Identifier: Apache-2.0
#include "tags/local_threshold.h"

#include <algorithm>
#include <array>

namespace pivotfix {
namespace {

using Tiles = std::vector<std::uint8_t>;

struct Least {
  static std::uint8_t pick(std::uint8_t a, std::uint8_t b) { return std::min(a, b); }
};
struct Greatest {
  static std::uint8_t pick(std::uint8_t a, std::uint8_t b) { return std::max(a, b); }
};

template <typename Extreme>
Tiles extreme_of_tiles(const GreyLevel& level, int columns, int rows) {
  constexpr int tile = LocalThreshold::tile_px;
  Tiles tiles(static_cast<std::size_t>(columns) * rows);
  // Padded to whole tiles by repeating the last pixel.
  std::vector<std::uint8_t> line(static_cast<std::size_t>(columns) * tile);
  for (int r = 0; r < rows; ++r) {
    const int first = r * tile;
    const int last = std::min(first + tile, level.height_px);
    std::copy_n(level.row(first), level.width_px, line.begin());
    for (int y = first + 1; y < last; ++y) {
      const std::uint8_t* from = level.row(y);
      for (int x = 0; x < level.width_px; ++x) line[x] = Extreme::pick(line[x], from[x]);
    }
    std::fill(line.begin() + level.width_px, line.end(), line[level.width_px - 1]);
    std::uint8_t* to = tiles.data() + static_cast<std::size_t>(r) * columns;
    for (int c = 0; c < columns; ++c) {
      const std::uint8_t* four = line.data() + c * tile;
      to[c] = Extreme::pick(Extreme::pick(four[0], four[1]), Extreme::pick(four[2], four[3]));
    }
  }
  return tiles;
}

// Each tile together with its neighbours, first along rows, then along columns.
template <typename Extreme>
Tiles with_neighbours(const Tiles& tiles, int columns, int rows) {
  Tiles along(tiles.size());
  for (int r = 0; r < rows; ++r) {
    const std::uint8_t* from = tiles.data() + static_cast<std::size_t>(r) * columns;
    std::uint8_t* to = along.data() + static_cast<std::size_t>(r) * columns;
    for (int c = 0; c < columns; ++c) {
      to[c] =
          Extreme::pick(from[c], Extreme::pick(from[std::max(c - 1, 0)], from[std::min(c + 1, columns - 1)]));
    }
  }
  Tiles both(tiles.size());
  for (int r = 0; r < rows; ++r) {
    const std::uint8_t* here = along.data() + static_cast<std::size_t>(r) * columns;
    const std::uint8_t* above = along.data() + static_cast<std::size_t>(std::max(r - 1, 0)) * columns;
    const std::uint8_t* below = along.data() + static_cast<std::size_t>(std::min(r + 1, rows - 1)) * columns;
    std::uint8_t* to = both.data() + static_cast<std::size_t>(r) * columns;
    for (int c = 0; c < columns; ++c) to[c] = Extreme::pick(here[c], Extreme::pick(above[c], below[c]));
  }
  return both;
}

// What noise and the texture of walls and floors make up: most tiles of a photo show no edge. A picture of
// nothing but noise has about 1.5 times the range of a tile in a tile with its neighbours (derived for
// normal noise: 3.5 and 5.3 standard deviations for 16 and 144 pixels).
int least_range(const Tiles& least, const Tiles& greatest) {
  constexpr int lowest = 14;
  constexpr int highest = 40;
  std::array<std::size_t, 256> count{};
  for (std::size_t i = 0; i < least.size(); ++i) ++count[static_cast<std::size_t>(greatest[i] - least[i])];
  int quiet = 0;  // range of the tile a third of the way from the quietest
  for (std::size_t sum = count[0]; 3 * sum < least.size(); sum += count[static_cast<std::size_t>(quiet)])
    ++quiet;
  return std::clamp(2 * quiet, lowest, highest);
}

}  // namespace

LocalThreshold::LocalThreshold(const GreyLevel& level)
    : columns_((level.width_px + tile_px - 1) / tile_px), rows_((level.height_px + tile_px - 1) / tile_px) {
  const Tiles own_least = extreme_of_tiles<Least>(level, columns_, rows_);
  const Tiles own_greatest = extreme_of_tiles<Greatest>(level, columns_, rows_);
  const int range = least_range(own_least, own_greatest);
  const Tiles least = with_neighbours<Least>(own_least, columns_, rows_);
  const Tiles greatest = with_neighbours<Greatest>(own_greatest, columns_, rows_);
  limit_.resize(least.size());
  for (std::size_t i = 0; i < limit_.size(); ++i) {
    const int low = least[i];
    const int high = greatest[i];
    limit_[i] = static_cast<std::uint8_t>(high - low < range ? 0 : (low + high + 1) / 2);
  }
}

}  // namespace pivotfix
