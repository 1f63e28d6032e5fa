// SPDX-License-Identifier: Apache-2.0
// The black cells of a tag as closed outlines. Filling outlines instead of cells leaves no hairlines between
// neighbouring cells, whatever draws the page. Private to this folder.
#pragma once

#include <vector>

namespace pivotfix {

struct GridPoint {
  int column = 0;
  int row = 0;
  bool operator==(const GridPoint&) const = default;
};

// Closed loops for an even-odd fill, corners only, in cell widths from the tag's top left corner.
std::vector<std::vector<GridPoint>> black_outlines(int tag_number);

}  // namespace pivotfix
