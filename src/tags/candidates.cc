// SPDX-License-Identifier: Apache-2.0
#include "tags/candidates.h"

#include <algorithm>

#include "tags/dark_patches.h"
#include "tags/quad_shape.h"

namespace pivotfix {
namespace {

GreyLevel level_of(const GreyPicture& picture) {
  return {picture.width_px, picture.height_px, picture.grey};
}

// In pixels of the level, with half of the white cell around: what the threshold leaves of a known tag's edge
// must not look like a patch.
TagCorners on_level(const TagCorners& corner_px, int scale) {
  constexpr double wider = 1.0 + 1.0 / tag_cells;
  const Eigen::Vector2d middle = 0.25 * (corner_px[0] + corner_px[1] + corner_px[2] + corner_px[3]);
  TagCorners result;
  for (int k = 0; k < 4; ++k)
    result[k] = ((middle + wider * (corner_px[k] - middle)).array() - 0.5 * (scale - 1)) / scale;
  return result;
}

}  // namespace

SearchLevels::SearchLevels(const GreyPicture& picture, double smallest_side_px) {
  constexpr int smallest_level_px = 64;
  constexpr double smallest_side_on_coarse_px = 20.0;
  // Tags that are left to the full picture are small, but something long and dark may touch them. What
  // texture it shows that the coarser ones do not is most of the search's work.
  constexpr int longest_on_full_px = 480;
  if (std::min(picture.width_px, picture.height_px) < 8) return;
  half_ = halved(picture);
  quarter_ = halved(half_);
  const auto add_coarse = [&](const GreyPicture& coarse, int scale) {
    if (std::min(coarse.width_px, coarse.height_px) < smallest_level_px) return false;
    levels_.push_back(
        {level_of(coarse), scale, {std::max(smallest_side_px / scale, smallest_side_on_coarse_px)}});
    return true;
  };
  add_coarse(quarter_, 4);
  const bool has_half = add_coarse(half_, 2);
  PatchWish on_full{smallest_side_px};
  if (has_half) on_full = {smallest_side_px, longest_on_full_px, InkOnPaper::two_fifths_of_the_light};
  levels_.push_back({level_of(picture), 1, on_full});
}

std::vector<TagCorners> find_candidates(const SearchLevel& level, const std::vector<TagCorners>& known_tags) {
  std::vector<TagCorners> known;
  for (const TagCorners& tag : known_tags) known.push_back(on_level(tag, level.scale));
  std::vector<TagCorners> candidates;
  for (const DarkPatch& patch : find_dark_patches(level.grey, level.wish, known)) {
    for (TagCorners quad : four_sides_of(patch, level.wish)) {
      for (Eigen::Vector2d& corner : quad) corner = (corner * level.scale).array() + 0.5 * (level.scale - 1);
      candidates.push_back(quad);
    }
  }
  return candidates;
}

}  // namespace pivotfix
