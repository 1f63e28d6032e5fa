// SPDX-License-Identifier: Apache-2.0
// Straight stretches of a patch's rim. Private.
#pragma once

#include <vector>

#include "tags/dark_patches.h"
#include "tags/plane_geometry.h"

namespace pivotfix {

// A straight stretch, or several that lie on one line.
struct RimSegment {
  PictureLine line{};  // the normal points out of the patch
  double length_px = 0.0;
};

// Longest first, at most `most`.
std::vector<RimSegment> straight_segments(const Rim& rim, double least_length_px, std::size_t most);

}  // namespace pivotfix
