// SPDX-License-Identifier: Apache-2.0
#include "tags/dark_patches.h"

#include <algorithm>
#include <cstring>
#include <limits>

#include "tags/local_threshold.h"

namespace pivotfix {
namespace {

// Dark pixels next to each other in one row.
struct Run {
  int first = 0;
  int last = 0;
  int patch = 0;  // a node of the forest of patches
};

struct PatchBox {
  int parent = 0;
  int left = 0;
  int right = 0;
  int top = 0;
  int bottom = 0;
};

// Runs of all rows, joined into patches by union and find.
class PatchForest {
 public:
  explicit PatchForest(const GreyLevel& level);

  int root_of(int node) {
    while (boxes_[node].parent != node) {
      boxes_[node].parent = boxes_[boxes_[node].parent].parent;
      node = boxes_[node].parent;
    }
    return node;
  }
  const std::vector<PatchBox>& boxes() const { return boxes_; }
  const std::vector<Run>& runs() const { return runs_; }
  std::size_t row_begin(int y) const { return row_begins_[static_cast<std::size_t>(y)]; }

 private:
  void add_runs(const std::vector<std::uint8_t>& dark, int width_px, int y);
  void join_with_row_above(std::size_t above, std::size_t here);
  void join(int a, int b);

  std::vector<Run> runs_{};
  std::vector<std::size_t> row_begins_{};
  std::vector<PatchBox> boxes_{};
};

// `dark` holds 1 for dark and is closed by zeros up to a multiple of eight past the width.
void PatchForest::add_runs(const std::vector<std::uint8_t>& dark, int width_px, int y) {
  int x = 0;
  while (x < width_px) {
    if (x % 8 == 0) {
      std::uint64_t eight = 0;
      std::memcpy(&eight, dark.data() + x, sizeof eight);
      if (eight == 0) {
        x += 8;
        continue;
      }
    }
    if (dark[x] == 0) {
      ++x;
      continue;
    }
    const int first = x;
    while (dark[x] != 0) ++x;
    const int node = static_cast<int>(boxes_.size());
    boxes_.push_back({node, first, x - 1, y, y});
    runs_.push_back({first, x - 1, node});
  }
}

void PatchForest::join(int a, int b) {
  a = root_of(a);
  b = root_of(b);
  if (a == b) return;
  if (b < a) std::swap(a, b);
  boxes_[b].parent = a;
  boxes_[a].left = std::min(boxes_[a].left, boxes_[b].left);
  boxes_[a].right = std::max(boxes_[a].right, boxes_[b].right);
  boxes_[a].top = std::min(boxes_[a].top, boxes_[b].top);
  boxes_[a].bottom = std::max(boxes_[a].bottom, boxes_[b].bottom);
}

void PatchForest::join_with_row_above(std::size_t above, std::size_t here) {
  const std::size_t above_end = here;
  for (std::size_t i = here; i < runs_.size(); ++i) {
    while (above < above_end && runs_[above].last < runs_[i].first - 1) ++above;
    for (std::size_t k = above; k < above_end && runs_[k].first <= runs_[i].last + 1; ++k) {
      join(runs_[k].patch, runs_[i].patch);
    }
  }
}

PatchForest::PatchForest(const GreyLevel& level) {
  constexpr int tile = LocalThreshold::tile_px;
  const LocalThreshold threshold(level);
  const std::size_t padded = static_cast<std::size_t>(level.width_px + 15) / 8 * 8;
  std::vector<std::uint8_t> limit(padded);
  std::vector<std::uint8_t> dark(padded);
  std::size_t above = 0;
  for (int y = 0; y < level.height_px; ++y) {
    if (y % tile == 0) {
      const std::uint8_t* of_tile = threshold.row(y);
      for (int x = 0; x < level.width_px; ++x) limit[x] = of_tile[x / tile];
    }
    const std::uint8_t* grey = level.row(y);
    for (int x = 0; x < level.width_px; ++x) dark[x] = grey[x] < limit[x];
    const std::size_t here = runs_.size();
    row_begins_.push_back(here);
    add_runs(dark, level.width_px, y);
    join_with_row_above(above, here);
    above = here;
  }
  row_begins_.push_back(runs_.size());
}

bool large_enough(const PatchBox& box, double smallest_side_px) {
  const int width = box.right - box.left + 1;
  const int height = box.bottom - box.top + 1;
  // A foreshortened tag is narrower than it is long.
  return std::max(width, height) >= smallest_side_px && std::min(width, height) >= 0.4 * smallest_side_px;
}

// First and last row of each column while the runs of a patch pass from the top.
struct ColumnEnds {
  int top = std::numeric_limits<int>::max();
  int bottom = -1;
};

}  // namespace

std::vector<DarkPatch> find_dark_patches(const GreyLevel& level, double smallest_side_px) {
  PatchForest forest(level);
  // Only patches of some size are looked at further; they get numbers in the order of their first pixel.
  std::vector<int> number_of_root(forest.boxes().size(), -1);
  std::vector<DarkPatch> patches;
  std::vector<std::vector<ColumnEnds>> columns;
  std::vector<int> left_of;
  for (std::size_t node = 0; node < forest.boxes().size(); ++node) {
    const PatchBox& box = forest.boxes()[node];
    if (box.parent != static_cast<int>(node) || !large_enough(box, smallest_side_px)) continue;
    number_of_root[node] = static_cast<int>(patches.size());
    patches.emplace_back();
    columns.emplace_back(static_cast<std::size_t>(box.right - box.left + 1));
    left_of.push_back(box.left);
  }
  for (int y = 0; y < level.height_px; ++y) {
    for (std::size_t i = forest.row_begin(y); i < forest.row_begin(y + 1); ++i) {
      const Run& run = forest.runs()[i];
      const int number = number_of_root[forest.root_of(run.patch)];
      if (number < 0) continue;
      auto& ends = patches[number].row_ends;
      if (!ends.empty() && ends.back().y == y) {
        ends.back().x = run.last;
      } else {
        ends.push_back({run.first, y});
        ends.push_back({run.last, y});
      }
      for (int x = run.first; x <= run.last; ++x) {
        ColumnEnds& column = columns[number][static_cast<std::size_t>(x - left_of[number])];
        column.top = std::min(column.top, y);
        column.bottom = y;
      }
    }
  }
  for (std::size_t p = 0; p < patches.size(); ++p) {
    for (std::size_t c = 0; c < columns[p].size(); ++c) {
      const int x = left_of[p] + static_cast<int>(c);
      patches[p].column_ends.push_back({x, columns[p][c].top});
      patches[p].column_ends.push_back({x, columns[p][c].bottom});
    }
  }
  return patches;
}

}  // namespace pivotfix
