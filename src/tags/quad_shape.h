// SPDX-License-Identifier: Apache-2.0
// From the outline of a dark patch to four straight sides. Private.
#pragma once

#include <optional>
#include <vector>

#include "tags/plane_geometry.h"

namespace pivotfix {

// `hull` is the convex hull of `outline`, in either order. The sides are fitted to the outline's points,
// which are pixels of the patch and lie half a pixel inside its edge; the corners given back are moved out
// by that half pixel and are in the turning sense of TagCorners. Empty when it is not four-sided.
std::optional<TagCorners> four_sides_of(const std::vector<Eigen::Vector2d>& outline,
                                        const std::vector<Eigen::Vector2d>& hull);

}  // namespace pivotfix
