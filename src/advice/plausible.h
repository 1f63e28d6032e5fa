// SPDX-License-Identifier: Apache-2.0
// Sizes and angles that a corner may have but hardly a car: a mixed-up tag or a slip of the pen rather than a
// design. Private to this folder and its tests.
#pragma once

#include <string>
#include <vector>

#include "corner/corner.h"

namespace pivotfix {

// A sentence for each; empty for a usual corner. Bounds are common practice, wide enough for passenger, rally
// and formula cars.
std::vector<std::string> implausible(const Corner& corner);

// Likewise of the spacers' thickness: inches typed as millimetres, or the other way round.
std::vector<std::string> implausible(const RodEnd& rod_end);

}  // namespace pivotfix
