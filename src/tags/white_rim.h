// SPDX-License-Identifier: Apache-2.0
// How narrow a rim of white there is beside an edge, and what that does to the edge. Private.
#pragma once

#include <limits>

#include "tags/edge_strip.h"

namespace pivotfix {

// Where a rim is trimmed closely, or a part hides most of it, the blur mixes what is dark beyond into the
// white: the lightest place moves inwards, and the fitted step with it.
struct WhiteRim {
  // Where it is lightest, outward from the expected edge: beyond, pixels say little of the paper. Anywhere
  // when the paper goes on.
  double lightest_px = std::numeric_limits<double>::infinity();
  double fall = 0.0;  // from there to the outermost pixels, as a share of the whole range; 0 when it goes on
};

WhiteRim white_rim(const EdgeStrip& strip);

// How far, about, such an edge comes out inside its place when pixels beyond the lightest place are left out.
double inward_pull_px(const WhiteRim& rim, double blur_px);

}  // namespace pivotfix
