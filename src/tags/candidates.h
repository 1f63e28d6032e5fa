// SPDX-License-Identifier: Apache-2.0
// Dark four-cornered patches on a lighter ground: where a tag may be, to about a fifth of a pixel of the
// level that they are found on. Private.
#pragma once

#include <vector>

#include "tags/dark_patches.h"
#include "tags/picture_levels.h"
#include "tags/plane_geometry.h"

namespace pivotfix {

// The full picture, halved or quartered, and the tags that are to be found on it.
struct SearchLevel {
  GreyLevel grey{};
  int scale = 1;  // pixels of the full picture that make one of this level, along a row
  PatchWish wish{};
};

// From coarse to fine. Small tags need every pixel; for large or blurred ones the window of the local
// threshold is wide enough only on a coarser level, and they need not be looked for on a finer one.
class SearchLevels {
 public:
  // The picture must outlive the levels, which are views of it and of what is kept here.
  SearchLevels(const GreyPicture& picture, double smallest_side_px);
  SearchLevels(const SearchLevels&) = delete;
  SearchLevels& operator=(const SearchLevels&) = delete;
  const std::vector<SearchLevel>& coarse_to_fine() const { return levels_; }

 private:
  GreyPicture half_{};
  GreyPicture quarter_{};
  std::vector<SearchLevel> levels_{};
};

// Convex, in the turning sense of TagCorners, in pixels of the full picture, as are the tags that are known
// already, on which nothing more is looked for.
std::vector<TagCorners> find_candidates(const SearchLevel& level, const std::vector<TagCorners>& known_tags);

}  // namespace pivotfix
