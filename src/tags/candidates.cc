// SPDX-License-Identifier: Apache-2.0
#include "tags/candidates.h"

#include <cstdint>

#include "tags/dark_patches.h"
#include "tags/quad_shape.h"

namespace pivotfix {
namespace {

struct HalvedPicture {
  int width_px = 0;
  int height_px = 0;
  std::vector<std::uint8_t> grey{};

  GreyLevel level() const { return {width_px, height_px, grey}; }
};

// Means of 2 x 2 pixels; an odd last row or column is left out.
HalvedPicture halved(const GreyLevel& fine) {
  HalvedPicture coarse{fine.width_px / 2, fine.height_px / 2, {}};
  coarse.grey.resize(static_cast<std::size_t>(coarse.width_px) * coarse.height_px);
  for (int y = 0; y < coarse.height_px; ++y) {
    const std::uint8_t* upper = fine.row(2 * y);
    const std::uint8_t* lower = fine.row(2 * y + 1);
    std::uint8_t* to = coarse.grey.data() + static_cast<std::size_t>(y) * coarse.width_px;
    for (int x = 0; x < coarse.width_px; ++x) {
      to[x] = static_cast<std::uint8_t>(
          (upper[2 * x] + upper[2 * x + 1] + lower[2 * x] + lower[2 * x + 1] + 2) / 4);
    }
  }
  return coarse;
}

// `scale` pixels of the full picture make one of `level`.
void add_candidates(const GreyLevel& level, int scale, double smallest_side_px,
                    std::vector<TagCorners>& candidates) {
  for (const DarkPatch& patch : find_dark_patches(level, smallest_side_px)) {
    std::vector<TagCorners> quads;
    if (const auto quad = four_sides_of(patch)) {
      quads.push_back(*quad);
    } else {
      quads = four_sides_among(patch, smallest_side_px);
    }
    for (TagCorners& quad : quads) {
      for (Eigen::Vector2d& corner : quad) corner = (corner * scale).array() + 0.5 * (scale - 1);
      candidates.push_back(quad);
    }
  }
}

}  // namespace

// Small tags need every pixel; for large or blurred ones the window of the local threshold is wide enough
// only on a coarser level.
std::vector<TagCorners> find_candidates(const GreyPicture& picture, double smallest_side_px) {
  constexpr int smallest_level_px = 64;
  constexpr double smallest_side_on_coarse_px = 20.0;
  std::vector<TagCorners> candidates;
  if (picture.width_px < 8 || picture.height_px < 8) return candidates;
  const GreyLevel full{picture.width_px, picture.height_px, picture.grey};
  const HalvedPicture half = halved(full);
  const HalvedPicture quarter = halved(half.level());
  const auto on_coarse = [&](const HalvedPicture& coarse, int scale) {
    if (std::min(coarse.width_px, coarse.height_px) < smallest_level_px) return;
    add_candidates(coarse.level(), scale, std::max(smallest_side_px / scale, smallest_side_on_coarse_px),
                   candidates);
  };
  on_coarse(quarter, 4);
  on_coarse(half, 2);
  add_candidates(full, 1, smallest_side_px, candidates);
  return candidates;
}

}  // namespace pivotfix
