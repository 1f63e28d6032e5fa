// SPDX-License-Identifier: Apache-2.0
// Straight stretches of a patch's rim. Private.
#pragma once

#include <vector>

#include "tags/dark_patches.h"
#include "tags/plane_geometry.h"

namespace pivotfix {

// A straight stretch, or several that lie on one line.
struct RimSegment {
  Line line{};  // the normal points out of the patch
  double length_px = 0.0;
};

// Longest first, at most `most`. The rim as DarkPatch gives it.
std::vector<RimSegment> straight_segments(const std::vector<PixelPlace>& row_ends,
                                          const std::vector<PixelPlace>& column_ends, double least_length_px,
                                          std::size_t most);

}  // namespace pivotfix
