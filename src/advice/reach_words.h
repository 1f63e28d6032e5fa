// SPDX-License-Identifier: Apache-2.0
// What to do where no stack reaches the best height. Private to this folder.
#pragma once

#include <string>

#include "advice/advice.h"

namespace pivotfix {

// By how much the first stack misses, and why that is near enough or what part would do; empty where the
// height is reached, or not worth reaching.
std::string out_of_reach_words(const Advice& advice, const RodEnd& rod_end);

}  // namespace pivotfix
