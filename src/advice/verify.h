// SPDX-License-Identifier: Apache-2.0
// Toe readings from an alignment rack beside what the hardpoints predict, and both worked together.
#pragma once

#include <vector>

#include "advice/advice.h"

namespace pivotfix {

struct VerifiedCorner {
  Corner corner{};  // refined, or as it was
  Verification verification{};
};

// All readings are held against the hardpoints; those that are not `only_compared` are worked in. Those of a
// rack and those of photos each have a zero of their own. Throws Problem(input) for fewer than two readings
// at different travels, or one that the wheel cannot reach.
VerifiedCorner verify(const Corner& corner, const Driving& driving, const std::vector<ToeReading>& readings);

}  // namespace pivotfix
