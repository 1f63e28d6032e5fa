// SPDX-License-Identifier: Apache-2.0
// What rejected sightings and strips that disagree have in common, in sentences that say what to do. Private
// to the network stage.
#pragma once

#include <string>
#include <vector>

#include "network/adjustment.h"

namespace pivotfix {

// Tags that stood in two places, tags that are printed twice, tags that are not flat; photos that do not fit
// as a whole, or alone tie tags to the others; scale strips that contradict each other (in
// `network.scale_bars`) or were left out. Empty when nothing is odd.
std::vector<std::string> find_faults(const Adjustment& done, const NetworkInput& input,
                                     const Network& network);

}  // namespace pivotfix
