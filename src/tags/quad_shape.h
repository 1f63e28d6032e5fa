// SPDX-License-Identifier: Apache-2.0
// From the outline of a dark patch to four straight sides. Private.
#pragma once

#include <optional>
#include <vector>

#include "tags/dark_patches.h"
#include "tags/plane_geometry.h"

namespace pivotfix {

// The sides are fitted to the patch's rim, whose pixels lie half a pixel inside its edge; the corners given
// back are moved out by that half pixel and are in the turning sense of TagCorners. Empty when the patch is
// not four-sided.
std::optional<TagCorners> four_sides_of(const DarkPatch& patch);

// The same for a patch that is four-sided but for something lying on an edge: choices of four straight
// stretches of the rim, those with the longest stretches first.
std::vector<TagCorners> four_sides_among(const DarkPatch& patch, double smallest_side_px);

}  // namespace pivotfix
