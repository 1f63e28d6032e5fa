// SPDX-License-Identifier: Apache-2.0
// The corner at its recorded ride height, when the photos were taken a little off it.
#pragma once

#include <string>

#include "hardpoints/hardpoint_set.h"

namespace pivotfix {

struct AtRecordedHeight {
  HardpointSet hardpoints{};
  std::string words{};  // what was done, for people; empty: nothing
};

// Solves the suspension at the recorded height with the link's length held, and takes the wheel as the user
// gave it there. The height's uncertainty goes into the covariance. A set without a recorded height, or whose
// wheel stood as recorded within 0.05 mm, comes back as it is. Throws Problem(refused) beyond 30 mm: what
// bends and winds up over that much is not in the photos.
AtRecordedHeight at_recorded_height(const HardpointSet& set);

}  // namespace pivotfix
