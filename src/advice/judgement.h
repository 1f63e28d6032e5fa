// SPDX-License-Identifier: Apache-2.0
// What is near enough and what is worth doing: each rule in one place, for the answer and for its words.
// Private to this folder.
#pragma once

#include "advice/advice.h"

namespace pivotfix {

// Of the first stack, where it does not reach the best height.
NearEnough how_near_enough(const Advice& advice);

}  // namespace pivotfix
