// SPDX-License-Identifier: Apache-2.0
// From the outline of a dark patch to four straight sides. Private.
#pragma once

#include <optional>
#include <vector>

#include "tags/dark_patches.h"
#include "tags/plane_geometry.h"

namespace pivotfix {

// The sides are fitted to the patch's rim, whose pixels lie half a pixel inside its edge; the corners given
// back are moved out by that half pixel and are in the turning sense of TagCorners. Several, the likeliest
// first, where something may be lying on an edge. Empty when the patch is not four-sided, or has no white
// cells.
std::vector<TagCorners> four_sides_of(const DarkPatch& patch, const PatchWish& wish);

}  // namespace pivotfix
