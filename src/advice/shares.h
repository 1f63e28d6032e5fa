// SPDX-License-Identifier: Apache-2.0
// Which coordinate of which hardpoint the height's uncertainty comes from.
#pragma once

#include <vector>

#include "advice/advice.h"
#include "advice/height.h"

namespace pivotfix {

// Largest first. With S the covariance and g the height's derivatives, coordinate i has the share
// g_i (S g)_i / (g . S g): shares sum to one whatever the correlations.
std::vector<HeightShare> height_shares(const Corner& corner, const BestHeight& best);

}  // namespace pivotfix
