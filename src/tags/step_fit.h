// SPDX-License-Identifier: Apache-2.0
// A blurred step fitted to the pixels of each bin of an edge. Private.
#pragma once

#include "tags/edge_strip.h"

namespace pivotfix {

// Sharper edges than this look all alike: a pixel has an area.
inline constexpr double least_blur_px = 0.25;

struct Step {
  double across_px = 0.0;  // where the edge is, outward from where it was expected
  double black = 0.0;
  double contrast = 0.0;
  bool usable = false;
};

struct EdgeSteps {
  std::vector<Step> steps{};  // one for each bin
  double blur_px = 0.0;       // one for the whole edge, without the pixel's own area
};

// Least squares: place, black and contrast for each bin, one blur for all. A pixel reaches `half_pixel_px` to
// either side of its centre, across the edge. Gauss-Newton, until the blur and, on the whole, the
// places move by less than a few thousandths of a pixel, four passes at most.
EdgeSteps fit_steps(const EdgeStrip& strip, double start_blur_px, double half_pixel_px);

}  // namespace pivotfix
