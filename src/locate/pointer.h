// SPDX-License-Identifier: Apache-2.0
// A stick with tags and a tip. Its tip is found by pivoting it about a fixed dent; then it touches what no
// tag reaches. Private to the locate stage and its tests.
#pragma once

#include <string>
#include <vector>

#include "locate/locate_hardpoints.h"
#include "locate/traced_network.h"

namespace pivotfix {

struct PointerTip {
  Traced tip{};              // network axes, as the stick stands in `set`
  std::string set{};         // one of those in the dent
  double residual_mm = 0.0;  // of the tip's place in the dent, rms over the positions
  double sigma_mm = 0.0;     // of its place against the stick's tags, in the widest direction
  // The part of `sigma_mm` that the photos' noise does not explain: the tip wandered in its dent.
  double unexplained_sigma_mm = 0.0;
};

// The tip is the point of the stick that stayed in the dent through `dent_sets` (a sphere fit to every tag at
// once). Throws Problem(refused) for fewer than three positions, when the stick was tilted one way only, and
// when the tip did not stay.
PointerTip find_tip(const TracedNetwork& network, const Body& pointer,
                    const std::vector<std::string>& dent_sets);

// Takes positions out of the question of which the photos do not tell how the stick stood, as long as others
// are enough: three in the dent, one touch of each hardpoint. Returns what to tell of each. What is left
// without enough stays whole, so that find_tip and touched_point refuse it.
std::vector<std::string> leave_out_unusable_positions(const TracedNetwork& network,
                                                      HardpointQuestion& question);

// Mean of where the tip was in each of `touch_sets`, in network axes; and by how much it is less certain, in
// each axis, than the photos' noise explains: by the tip's own part, and by what the touches differ (variance
// of a mean, JCGM 100:2008, 4.2.3). Throws Problem(refused) naming a touch whose photos look from almost one
// direction, and when touches lie too far from each other.
struct Touched {
  Traced point{};
  double unexplained_sigma_mm = 0.0;
};
Touched touched_point(const TracedNetwork& network, const Body& pointer, const PointerTip& tip,
                      const std::vector<std::string>& touch_sets, const std::string& what);

}  // namespace pivotfix
