// SPDX-License-Identifier: Apache-2.0
#include "tags/local_threshold.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <limits>

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

// The extreme of each two neighbours, in place. Two bytes are taken at a time, whose order does not matter
// here.
template <typename Extreme>
void reduce_pairs(std::vector<std::uint8_t>& line, std::vector<std::uint16_t>& pairs, std::size_t count) {
  std::memcpy(pairs.data(), line.data(), 2 * count);
  std::uint8_t* const to = line.data();
  const std::uint16_t* const from = pairs.data();
  for (std::size_t i = 0; i < count; ++i) {
    const auto one = static_cast<std::int16_t>(from[i] & 255);
    const auto other = static_cast<std::int16_t>(from[i] >> 8);
    to[i] = static_cast<std::uint8_t>(Extreme::pick(one, other));
  }
}

struct Extremes {
  Tiles least;
  Tiles greatest;
};

// Of four rows, pixel by pixel.
template <typename Extreme>
void reduce_rows(const std::array<const std::uint8_t*, tile>& rows, int width_px, std::uint8_t* to) {
  // Copies: what bytes are written to could be the array, for all that the compiler knows.
  const std::uint8_t *const a = rows[0], *const b = rows[1], *const c = rows[2], *const d = rows[3];
  for (int x = 0; x < width_px; ++x)
    to[x] = Extreme::pick(Extreme::pick(a[x], b[x]), Extreme::pick(c[x], d[x]));
}

// Extremes of tiles, a row of them at a time.
class TileRow {
 public:
  explicit TileRow(int columns)
      : columns_(static_cast<std::size_t>(columns)), line_(columns_ * tile), pairs_(columns_ * tile / 2) {}

  template <typename Extreme>
  void reduce(const std::array<const std::uint8_t*, tile>& rows, int width_px, std::uint8_t* to) {
    reduce_rows<Extreme>(rows, width_px, line_.data());
    // Padded to whole tiles by repeating the last pixel.
    std::fill(line_.begin() + width_px, line_.end(), line_[static_cast<std::size_t>(width_px) - 1]);
    reduce_pairs<Extreme>(line_, pairs_, 2 * columns_);
    reduce_pairs<Extreme>(line_, pairs_, columns_);
    std::copy_n(line_.begin(), columns_, to);
  }

 private:
  std::size_t columns_;
  std::vector<std::uint8_t> line_;
  std::vector<std::uint16_t> pairs_;
};

Extremes extremes_of_tiles(const GreyLevel& level, int columns, int rows) {
  Extremes extremes{Tiles(columns, rows), Tiles(columns, rows)};
  TileRow row(columns);
  for (int r = 0; r < rows; ++r) {
    std::array<const std::uint8_t*, tile> of_tile{};
    for (int i = 0; i < tile; ++i) of_tile[i] = level.row(std::min(r * tile + i, level.height_px - 1));
    row.reduce<Least>(of_tile, level.width_px, extremes.least.row(r));
    row.reduce<Greatest>(of_tile, level.width_px, extremes.greatest.row(r));
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

bool differ_like_ink_and_paper(std::uint8_t low, std::uint8_t high, int twelfths) {
  return 12 * high >= twelfths * low;
}

}  // namespace

LocalThreshold::LocalThreshold(const GreyLevel& level, InkOnPaper least_contrast)
    : columns_((level.width_px + tile_px - 1) / tile_px),
      rows_((level.height_px + tile_px - 1) / tile_px),
      stride_((columns_ + tiles_of_word - 1) / tiles_of_word * tiles_of_word) {
  const Extremes extremes = extremes_of_tiles(level, columns_, rows_);
  const auto range = static_cast<std::uint8_t>(least_range(extremes));
  const int twelfths = static_cast<int>(least_contrast);
  const std::size_t columns = static_cast<std::size_t>(columns_);
  std::vector<std::uint8_t> least(columns), greatest(columns), three(columns + 2);
  limit_.resize(static_cast<std::size_t>(stride_) * rows_);
  for (int r = 0; r < rows_; ++r) {
    with_neighbours<Least>(extremes.least, r, three, least.data());
    with_neighbours<Greatest>(extremes.greatest, r, three, greatest.data());
    const std::uint8_t* low = least.data();
    const std::uint8_t* high = greatest.data();
    std::uint8_t* to = limit_.data() + static_cast<std::size_t>(stride_) * r;
    for (std::size_t c = 0; c < columns; ++c) {
      const auto between = static_cast<std::uint8_t>((low[c] + high[c] + 1) / 2);
      const auto reach = static_cast<std::uint8_t>(high[c] - low[c]);
      to[c] =
          reach < range || !differ_like_ink_and_paper(low[c], high[c], twelfths) ? std::uint8_t{0} : between;
    }
  }
}

namespace {

struct Interval {
  double from = 0.0;
  double to = 0.0;
};

// Where a row of the picture runs inside a convex quad.
Interval inside_at(const std::array<PictureLine, 4>& side, double y) {
  constexpr double far = std::numeric_limits<double>::infinity();
  Interval x{-far, far};
  for (const PictureLine& line : side) {
    const double beyond = line.offset - line.normal.y() * y;  // of the normal's x times x
    if (line.normal.x() > 0.0) {
      x.from = std::max(x.from, beyond / line.normal.x());
    } else if (line.normal.x() < 0.0) {
      x.to = std::min(x.to, beyond / line.normal.x());
    } else if (beyond >= 0.0) {
      return {};
    }
  }
  return x;
}

}  // namespace

void LocalThreshold::clear_inside(const TagCorners& corner_px) {
  std::array<PictureLine, 4> side;
  double top = corner_px[0].y(), bottom = top;
  for (int k = 0; k < 4; ++k) {
    top = std::min(top, corner_px[k].y());
    bottom = std::max(bottom, corner_px[k].y());
    // Its normal points into a patch in the turning sense of TagCorners.
    side[k] = line_through(corner_px[k], corner_px[(k + 1) % 4]);
  }
  // Of tiles, by their middles.
  const auto first_from = [](double px, int count) {
    return static_cast<int>(std::clamp(std::ceil((px + 0.5) / tile_px - 0.5), 0.0, 1.0 * count));
  };
  for (int r = first_from(top, rows_); r < first_from(bottom, rows_); ++r) {
    const Interval x = inside_at(side, tile_px * (r + 0.5) - 0.5);
    if (!(x.from < x.to)) continue;
    std::uint8_t* const limit = limit_.data() + static_cast<std::size_t>(stride_) * r;
    std::fill(limit + first_from(x.from, columns_), limit + first_from(x.to, columns_), std::uint8_t{0});
  }
}

}  // namespace pivotfix
