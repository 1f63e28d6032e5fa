// SPDX-License-Identifier: Apache-2.0
// A stick with tags and a tip. Its tip is found by pivoting it about a fixed dent; then it touches what no
// tag reaches. Private to the hardpoints stage and its tests.
#pragma once

#include <string>
#include <vector>

#include "hardpoints/traced_network.h"

namespace pivotfix {

struct PointerTip {
  Traced tip{};              // network axes, as the stick stands in `set`
  std::string set{};         // one of those in the dent
  double residual_mm = 0.0;  // of the tip's place in the dent, rms over the positions
  double sigma_mm = 0.0;     // of its place against the stick's tags, in the widest direction
};

// The tip is the point of the stick that stayed in the dent through `dent_sets` (a sphere fit to every tag at
// once). Throws Problem(refused) for fewer than three positions, when the stick was tilted one way only, and
// when the tip did not stay.
PointerTip find_tip(const TracedNetwork& network, const Body& pointer,
                    const std::vector<std::string>& dent_sets);

// Mean of where the tip was in each of `touch_sets`, in network axes. Throws Problem(refused) naming a touch
// whose photos look from almost one direction, and when touches lie too far from each other.
struct Touched {
  Traced point{};
  double largest_miss_mm = 0.0;  // of one touch from their mean; zero for one
};
Touched touched_point(const TracedNetwork& network, const Body& pointer, const PointerTip& tip,
                      const std::vector<std::string>& touch_sets, const std::string& what);

}  // namespace pivotfix
