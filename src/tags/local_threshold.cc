// SPDX-License-Identifier: Apache-2.0
#include "tags/local_threshold.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>

namespace pivotfix {
namespace {

constexpr int tile = LocalThreshold::tile_px;

struct Least {
  template <typename T>
  static T pick(T a, T b) {
    return a < b ? a : b;
  }
};
struct Greatest {
  template <typename T>
  static T pick(T a, T b) {
    return a > b ? a : b;
  }
};

// One value for each tile, with a frame of one tile round them that repeats the outermost: loops without
// special cases at the rim are turned into vector instructions by the compiler.
struct Tiles {
  int columns = 0;
  int rows = 0;
  std::vector<std::uint8_t> values{};

  Tiles(int column_count, int row_count)
      : columns(column_count),
        rows(row_count),
        values(static_cast<std::size_t>(column_count + 2) * (row_count + 2)) {}
  // Points to tile 0 of the row; rows -1 and `rows` are the frame.
  std::uint8_t* row(int r) { return values.data() + static_cast<std::size_t>(r + 1) * (columns + 2) + 1; }
  const std::uint8_t* row(int r) const {
    return values.data() + static_cast<std::size_t>(r + 1) * (columns + 2) + 1;
  }
  void fill_frame() {
    for (int r = 0; r < rows; ++r) {
      row(r)[-1] = row(r)[0];
      row(r)[columns] = row(r)[columns - 1];
    }
    std::copy_n(row(0) - 1, columns + 2, row(-1) - 1);
    std::copy_n(row(rows - 1) - 1, columns + 2, row(rows) - 1);
  }
};

// The extreme of each four neighbours of `line`, pair by pair: bytes are taken two and then four at a time,
// whose order does not matter here.
template <typename Extreme>
void reduce_fours(const std::vector<std::uint8_t>& line, std::vector<std::uint16_t>& pairs,
                  std::vector<std::uint32_t>& fours, std::uint8_t* to, int columns) {
  std::memcpy(pairs.data(), line.data(), static_cast<std::size_t>(columns) * tile);
  for (int i = 0; i < 2 * columns; ++i) {
    const auto low = static_cast<std::int16_t>(pairs[i] & 255);
    const auto high = static_cast<std::int16_t>(pairs[i] >> 8);
    pairs[i] = static_cast<std::uint16_t>(Extreme::pick(low, high));
  }
  std::memcpy(fours.data(), pairs.data(), static_cast<std::size_t>(columns) * tile);
  for (int c = 0; c < columns; ++c) {
    const auto low = static_cast<std::int32_t>(fours[c] & 0xFFFF);
    const auto high = static_cast<std::int32_t>(fours[c] >> 16);
    to[c] = static_cast<std::uint8_t>(Extreme::pick(low, high));
  }
}

struct Extremes {
  Tiles least;
  Tiles greatest;
};

Extremes extremes_of_tiles(const GreyLevel& level, int columns, int rows) {
  Extremes extremes{Tiles(columns, rows), Tiles(columns, rows)};
  // Copies: what bytes are written to could be the picture's size, for all that the compiler knows.
  const int width_px = level.width_px;
  const int height_px = level.height_px;
  // Padded to whole tiles by repeating the last pixel.
  const std::size_t padded = static_cast<std::size_t>(columns) * tile;
  std::vector<std::uint8_t> low(padded), high(padded);
  std::vector<std::uint16_t> pairs(padded / 2);
  std::vector<std::uint32_t> fours(padded / 4);
  for (int r = 0; r < rows; ++r) {
    const int first = r * tile;
    const int last = std::min(first + tile, height_px);
    std::copy_n(level.row(first), level.width_px, low.begin());
    std::copy_n(level.row(first), level.width_px, high.begin());
    for (int y = first + 1; y < last; ++y) {
      const std::uint8_t* from = level.row(y);
      std::uint8_t* const lower = low.data();
      std::uint8_t* const higher = high.data();
      for (int x = 0; x < width_px; ++x) {
        lower[x] = Least::pick(lower[x], from[x]);
        higher[x] = Greatest::pick(higher[x], from[x]);
      }
    }
    std::fill(low.begin() + level.width_px, low.end(), low[level.width_px - 1]);
    std::fill(high.begin() + level.width_px, high.end(), high[level.width_px - 1]);
    reduce_fours<Least>(low, pairs, fours, extremes.least.row(r), columns);
    reduce_fours<Greatest>(high, pairs, fours, extremes.greatest.row(r), columns);
  }
  extremes.least.fill_frame();
  extremes.greatest.fill_frame();
  return extremes;
}

// Each tile of a row together with its eight neighbours.
template <typename Extreme>
void with_neighbours(const Tiles& tiles, int r, std::vector<std::uint8_t>& column_of_three,
                     std::uint8_t* to) {
  const std::uint8_t* above = tiles.row(r - 1) - 1;
  const std::uint8_t* here = tiles.row(r) - 1;
  const std::uint8_t* below = tiles.row(r + 1) - 1;
  std::uint8_t* const three = column_of_three.data();
  const int columns = tiles.columns;
  for (int c = 0; c < columns + 2; ++c) three[c] = Extreme::pick(here[c], Extreme::pick(above[c], below[c]));
  for (int c = 0; c < columns; ++c)
    to[c] = Extreme::pick(three[c + 1], Extreme::pick(three[c], three[c + 2]));
}

// What noise and the texture of walls and floors make up: most tiles of a photo show no edge. A picture of
// nothing but noise has about 1.5 times the range of a tile in a tile with its neighbours (derived for
// normal noise: 3.5 and 5.3 standard deviations for 16 and 144 pixels).
int least_range(const Extremes& extremes) {
  constexpr int lowest = 14;
  constexpr int highest = 40;
  constexpr int row_step = 4;  // some of the tiles tell as well as all
  std::array<std::size_t, 256> count{};
  const int columns = extremes.least.columns;
  const int rows = extremes.least.rows;
  for (int r = 0; r < rows; r += row_step) {
    const std::uint8_t* low = extremes.least.row(r);
    const std::uint8_t* high = extremes.greatest.row(r);
    for (int c = 0; c < columns; ++c) ++count[static_cast<std::size_t>(high[c] - low[c])];
  }
  const std::size_t tiles = static_cast<std::size_t>(columns) * ((rows + row_step - 1) / row_step);
  int quiet = 0;  // range of the tile a third of the way from the quietest
  for (std::size_t sum = count[0]; 3 * sum < tiles; sum += count[static_cast<std::size_t>(quiet)]) ++quiet;
  return std::clamp(2 * quiet, lowest, highest);
}

// Printed black returns a tenth or less of the light that paper does (common practice: 0.05 and 0.8). Half of
// the light, 4/3 in sRGB-coded values, leaves room for blur and veiling glare; most texture has less.
bool differ_like_ink_and_paper(std::uint8_t low, std::uint8_t high) {
  return 3 * high >= 4 * low;
}

}  // namespace

LocalThreshold::LocalThreshold(const GreyLevel& level)
    : columns_((level.width_px + tile_px - 1) / tile_px), rows_((level.height_px + tile_px - 1) / tile_px) {
  const Extremes extremes = extremes_of_tiles(level, columns_, rows_);
  const auto range = static_cast<std::uint8_t>(least_range(extremes));
  const std::size_t columns = static_cast<std::size_t>(columns_);
  std::vector<std::uint8_t> least(columns), greatest(columns), three(columns + 2);
  limit_.resize(columns * rows_);
  for (int r = 0; r < rows_; ++r) {
    with_neighbours<Least>(extremes.least, r, three, least.data());
    with_neighbours<Greatest>(extremes.greatest, r, three, greatest.data());
    const std::uint8_t* low = least.data();
    const std::uint8_t* high = greatest.data();
    std::uint8_t* to = limit_.data() + columns * r;
    for (std::size_t c = 0; c < columns; ++c) {
      const auto between = static_cast<std::uint8_t>((low[c] + high[c] + 1) / 2);
      const auto reach = static_cast<std::uint8_t>(high[c] - low[c]);
      to[c] = reach < range || !differ_like_ink_and_paper(low[c], high[c]) ? std::uint8_t{0} : between;
    }
  }
}

void LocalThreshold::clear_inside(const TagCorners& corner_px) {
  double left = corner_px[0].x(), right = left, top = corner_px[0].y(), bottom = top;
  std::array<Line, 4> side;
  for (int k = 0; k < 4; ++k) {
    left = std::min(left, corner_px[k].x());
    right = std::max(right, corner_px[k].x());
    top = std::min(top, corner_px[k].y());
    bottom = std::max(bottom, corner_px[k].y());
    side[k] = line_through(corner_px[k], corner_px[(k + 1) % 4]);
  }
  // line_through's normal points into a patch in the turning sense of TagCorners.
  const auto inside = [&](const Eigen::Vector2d& p) {
    return std::all_of(side.begin(), side.end(), [&](const Line& line) { return line.distance(p) > 0.0; });
  };
  const auto tile_of = [](double px, int count) {
    return std::clamp(static_cast<int>(std::floor(px / tile_px)), 0, count - 1);
  };
  for (int r = tile_of(top, rows_); r <= tile_of(bottom, rows_); ++r)
    for (int c = tile_of(left, columns_); c <= tile_of(right, columns_); ++c)
      if (inside({tile_px * (c + 0.5) - 0.5, tile_px * (r + 0.5) - 0.5}))
        limit_[static_cast<std::size_t>(r) * columns_ + c] = 0;
}

}  // namespace pivotfix
