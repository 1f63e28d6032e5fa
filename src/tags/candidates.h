// SPDX-License-Identifier: Apache-2.0
// Dark four-cornered patches on a lighter ground: where a tag may be, to about a fifth of a pixel. Private.
#pragma once

#include <vector>

#include "tags/plane_geometry.h"

namespace pivotfix {

// Convex, in the turning sense of TagCorners, in pixels of the full picture; from large to small scale.
// The same patch may come several times.
std::vector<TagCorners> find_candidates(const GreyPicture& picture, double smallest_side_px);

}  // namespace pivotfix
