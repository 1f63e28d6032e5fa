// SPDX-License-Identifier: Apache-2.0
#include "tags/decode.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <array>

#include "base/median.h"
#include "tags/family.h"
#include "tags/sampling.h"

namespace pivotfix {
namespace {

constexpr double smallest_contrast = 12.0;  // grey levels
constexpr int most_wrong_border_cells = 6;  // of 28: a finger or a screw head may cover some
constexpr int most_wrong_ring_cells = 12;   // of 36
// A frame with more faults than this is believed only when every code cell is right.
constexpr int frame_cells_of_doubt = 4;

// Cells of the tag and of the ring of paper round it: index 0 is cell -1.
constexpr int grid_cells = tag_cells + 2;
using Grid = std::array<std::array<double, grid_cells>, grid_cells>;

enum class CellKind { ring, border, code };

CellKind kind_of(int row, int column) {
  const int from_rim = std::min({row, column, grid_cells - 1 - row, grid_cells - 1 - column});
  return from_rim == 0 ? CellKind::ring : from_rim == 1 ? CellKind::border : CellKind::code;
}

// Grey values of some cells of one kind.
struct CellValues {
  std::array<double, 4 * (grid_cells - 1)>
      values;  // of the ring, the most; only the first `count` are written
  std::size_t count = 0;

  void add(double value) { values[count++] = value; }
  double median() const {
    auto copy = *this;
    return pivotfix::median({copy.values.data(), count});
  }
  template <typename Predicate>
  int count_if(const Predicate& predicate) const {
    return static_cast<int>(std::count_if(values.begin(), values.begin() + count, predicate));
  }
};

// Grey values at places in cells. Where the whole tag with its paper lies inside the picture, as it mostly
// does, none of the places needs to be held there.
class CellReader {
 public:
  CellReader(const GreyPicture& picture, const Homography& homography)
      : picture_(picture), homography_(homography) {
    // As long as no part of them lies behind the camera, the outermost corners have all between them.
    constexpr double end = tag_cells + 1.0;
    const TagCorners outermost{
        homography.picture_from_cells(-1.0, end), homography.picture_from_cells(end, end),
        homography.picture_from_cells(end, -1.0), homography.picture_from_cells(-1.0, -1.0)};
    inside_ = is_convex(outermost) && std::all_of(outermost.begin(), outermost.end(),
                                                  [&](const auto& p) { return lies_inside(picture, p); });
  }
  // Row and column of the grid; the places from the middle of the cell, in cells.
  double at(double row, double column) const {
    const Eigen::Vector2d p = homography_.picture_from_cells(column - 0.5, row - 0.5);
    return inside_ ? grey_inside(picture_, p.x(), p.y()) : grey_at(picture_, p.x(), p.y());
  }
  // Over the middle of the cell.
  double mean(int row, int column) const {
    constexpr std::array<double, 3> places = {-0.2, 0.0, 0.2};
    double sum = 0.0;
    for (const double down : places)
      for (const double across : places) sum += at(row + down, column + across);
    return sum / 9.0;
  }

 private:
  static bool lies_inside(const GreyPicture& picture, const Eigen::Vector2d& p) {
    return p.x() >= 0.0 && p.y() >= 0.0 && p.x() < picture.width_px - 1 && p.y() < picture.height_px - 1;
  }

  const GreyPicture& picture_;
  const Homography& homography_;
  bool inside_ = false;
};

void read_frame(const CellReader& reader, Grid& grid) {
  for (int row = 0; row < grid_cells; ++row)
    for (int column = 0; column < grid_cells; ++column)
      if (kind_of(row, column) != CellKind::code) grid[row][column] = reader.mean(row, column);
}

void read_code(const CellReader& reader, Grid& grid) {
  for (int row = 2; row < grid_cells - 2; ++row)
    for (int column = 2; column < grid_cells - 2; ++column) grid[row][column] = reader.mean(row, column);
}

struct Frame {
  CellValues border{};
  CellValues ring{};

  bool has_contrast() const { return ring.median() - border.median() >= smallest_contrast; }
};

// The middles of each `step`th of the frame's cells.
Frame look_at_frame(const CellReader& reader, int step) {
  Frame frame;
  const auto look = [&](CellValues& cells, int row, int column) { cells.add(reader.at(row, column)); };
  // Once round: each cell but the last along each of the four sides.
  for (const int rim : {0, 1}) {
    const int last = grid_cells - 1 - rim;
    CellValues& cells = rim == 0 ? frame.ring : frame.border;
    for (int i = rim; i < last; i += step) {
      look(cells, rim, i);
      look(cells, i, last);
      look(cells, last, last + rim - i);
      look(cells, last + rim - i, rim);
    }
  }
  return frame;
}

// A look at the middles of the frame's cells turns away most of what is no tag.
bool frame_is_plausible(const CellReader& reader) {
  constexpr int in_doubt = 6;
  constexpr int few = 4;
  if (!look_at_frame(reader, few).has_contrast()) return false;
  const Frame frame = look_at_frame(reader, 1);
  if (!frame.has_contrast()) return false;
  const double limit = 0.5 * (frame.border.median() + frame.ring.median());
  // Not against planes of brightness yet: a lamp's gradient may turn some cells.
  const int wrong_border = frame.border.count_if([&](double v) { return v >= limit; });
  const int wrong_ring = frame.ring.count_if([&](double v) { return v <= limit; });
  return wrong_border <= most_wrong_border_cells + in_doubt && wrong_ring <= most_wrong_ring_cells + in_doubt;
}

// Undoes part of the blur between neighbouring cells of a small tag: a quarter of the Laplacian.
Grid sharpen(const Grid& grid) {
  Grid sharp = grid;
  for (int row = 1; row < grid_cells - 1; ++row) {
    for (int column = 1; column < grid_cells - 1; ++column) {
      if (kind_of(row, column) != CellKind::code) continue;
      sharp[row][column] += 0.25 * (4.0 * grid[row][column] - grid[row - 1][column] - grid[row + 1][column] -
                                    grid[row][column - 1] - grid[row][column + 1]);
    }
  }
  return sharp;
}

// Brightness that varies linearly over the tag: lamps make gradients.
class BrightnessPlane {
 public:
  void add(int row, int column, double grey) {
    const Eigen::Vector3d place = at(row, column);
    normal_ += place * place.transpose();
    right_ += place * grey;
    ++count_;
  }
  bool solve() {
    if (count_ < 6) return false;
    // A touch of stiffness in the slopes: cells on one side only must not extrapolate wildly.
    normal_(1, 1) += 1.0;
    normal_(2, 2) += 1.0;
    coefficients_ = normal_.ldlt().solve(right_);
    return true;
  }
  double operator()(int row, int column) const { return coefficients_.dot(at(row, column)); }

 private:
  static Eigen::Vector3d at(int row, int column) {
    constexpr double middle = 0.5 * (grid_cells - 1);
    return {1.0, (row - middle) / middle, (column - middle) / middle};
  }
  Eigen::Matrix3d normal_ = Eigen::Matrix3d::Zero();
  Eigen::Vector3d right_ = Eigen::Vector3d::Zero();
  Eigen::Vector3d coefficients_ = Eigen::Vector3d::Zero();
  int count_ = 0;
};

struct Levels {
  BrightnessPlane black;
  BrightnessPlane white;

  double middle(int row, int column) const { return 0.5 * (black(row, column) + white(row, column)); }
};

double median_of(const Grid& grid, CellKind kind) {
  CellValues cells;
  for (int row = 0; row < grid_cells; ++row)
    for (int column = 0; column < grid_cells; ++column)
      if (kind_of(row, column) == kind) cells.add(grid[row][column]);
  return cells.median();
}

// First against the two medians, then against the planes of what passed.
std::optional<Levels> fit_levels(const Grid& grid) {
  const double threshold = 0.5 * (median_of(grid, CellKind::border) + median_of(grid, CellKind::ring));
  Levels levels;
  for (int pass = 0; pass < 2; ++pass) {
    Levels next;
    for (int row = 0; row < grid_cells; ++row) {
      for (int column = 0; column < grid_cells; ++column) {
        const double limit = pass == 0 ? threshold : levels.middle(row, column);
        const CellKind kind = kind_of(row, column);
        const double grey = grid[row][column];
        if (kind == CellKind::border && grey < limit) next.black.add(row, column, grey);
        if (kind == CellKind::ring && grey > limit) next.white.add(row, column, grey);
      }
    }
    if (!next.black.solve() || !next.white.solve()) return std::nullopt;
    levels = next;
  }
  return levels;
}

double contrast_of(const Levels& levels) {
  double least = 1e9;
  double sum = 0.0;
  for (const int row : {1, grid_cells - 2}) {
    for (const int column : {1, grid_cells - 2}) {
      const double contrast = levels.white(row, column) - levels.black(row, column);
      least = std::min(least, contrast);
      sum += contrast;
    }
  }
  return least < 0.5 * smallest_contrast ? 0.0 : sum / 4.0;
}

double white_of(const Levels& levels) {
  double sum = 0.0;
  for (const int row : {1, grid_cells - 2})
    for (const int column : {1, grid_cells - 2}) sum += levels.white(row, column);
  return sum / 4.0;
}

// Cells of the frame that are of the wrong colour.
struct WrongCells {
  int border = 0;
  int ring = 0;

  bool too_many() const { return border > most_wrong_border_cells || ring > most_wrong_ring_cells; }
  bool cause_doubt() const { return border + ring > frame_cells_of_doubt; }
};

WrongCells wrong_frame_cells(const Grid& grid, const Levels& levels) {
  WrongCells wrong;
  for (int row = 0; row < grid_cells; ++row) {
    for (int column = 0; column < grid_cells; ++column) {
      const CellKind kind = kind_of(row, column);
      if (kind == CellKind::ring) wrong.ring += grid[row][column] <= levels.middle(row, column);
      if (kind == CellKind::border) wrong.border += grid[row][column] >= levels.middle(row, column);
    }
  }
  return wrong;
}

CodeCells white_cells(const Grid& grid, const Levels& levels) {
  CodeCells cells{};
  for (int row = 0; row < code_cells; ++row)
    for (int column = 0; column < code_cells; ++column)
      cells[row][column] = grid[row + 2][column + 2] > levels.middle(row + 2, column + 2);
  return cells;
}

}  // namespace

std::optional<Decoded> decode(const GreyPicture& picture, const TagCorners& corner_px, int most_wrong_cells) {
  constexpr double small_cell_px = 5.0;
  const Homography homography(corner_px);
  const CellReader reader(picture, homography);
  if (!frame_is_plausible(reader)) return std::nullopt;
  Grid grid{};
  read_frame(reader, grid);
  if (median_of(grid, CellKind::ring) - median_of(grid, CellKind::border) < smallest_contrast)
    return std::nullopt;
  const auto levels = fit_levels(grid);
  if (!levels) return std::nullopt;
  Decoded decoded;
  decoded.contrast = contrast_of(*levels);
  decoded.white = white_of(*levels);
  if (decoded.contrast < smallest_contrast) return std::nullopt;
  const WrongCells wrong = wrong_frame_cells(grid, *levels);
  if (wrong.too_many()) return std::nullopt;

  read_code(reader, grid);
  const bool small = shortest_side(corner_px) / tag_cells < small_cell_px;
  const CodeCells cells = white_cells(small ? sharpen(grid) : grid, *levels);
  const auto match = match_family(cells, wrong.cause_doubt() ? 0 : most_wrong_cells);
  if (!match) return std::nullopt;
  decoded.tag_number = match->tag_number;
  decoded.quarter_turns = match->quarter_turns;
  decoded.wrong_cells = match->wrong_cells;
  return decoded;
}

}  // namespace pivotfix
