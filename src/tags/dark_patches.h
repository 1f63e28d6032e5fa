// SPDX-License-Identifier: Apache-2.0
// Connected patches that are dark among their surroundings: what a tag's border is on its paper. Private.
#pragma once

#include <vector>

#include "tags/local_threshold.h"
#include "tags/picture_levels.h"
#include "tags/plane_geometry.h"

namespace pivotfix {

// Dark pixels next to each other in one row.
struct Run {
  int y = 0;
  int first = 0;
  int last = 0;
};

// A patch as seen from the four sides of the picture. For a convex patch that is its whole outline.
struct Rim {
  int top = 0;                 // the row that the first of first_x and last_x belong to
  int left = 0;                // the column that the first of highest_y and lowest_y belong to
  std::vector<int> first_x{};  // of each row
  std::vector<int> last_x{};
  std::vector<int> highest_y{};  // of each column
  std::vector<int> lowest_y{};
};

struct DarkPatch {
  std::vector<Run> runs{};  // from the top; at least one in each of its rows
  int left = 0;
  int right = 0;
  int dark_px = 0;  // number of dark pixels

  // The rim's rows are cheap, its columns less so.
  Rim rows_of_rim() const;
  void add_columns(Rim& rim) const;
};

// What patches are wanted, in pixels of the level.
struct PatchWish {
  double smallest_side_px = 16.0;  // patches are at least this long and 0.4 of it wide
  int longest_px = 0;              // and no longer along rows or columns; 0: any length
  InkOnPaper least_contrast = InkOnPaper::half_the_light;

  // A smaller tag that something touches or covers says too little to be looked for among all that is small.
  double least_touched_px() const { return 3.0 * smallest_side_px; }
};

// Patches (neighbours also across corners) outside the tags that are known already. Small ones only where
// white cells may cut up their rows.
std::vector<DarkPatch> find_dark_patches(const GreyLevel& level, const PatchWish& wish,
                                         const std::vector<TagCorners>& known_tags);

}  // namespace pivotfix
