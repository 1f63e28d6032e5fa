// SPDX-License-Identifier: Apache-2.0
// What is said of a camber that nobody entered.
#pragma once

#include <string>

#include "advice/advice.h"

namespace pivotfix {

// Of a camber that is not known exactly, in the best height's variance.
double camber_share(const Advice& advice);

// Whether no coordinate of a point has a larger share.
bool camber_weighs_most(const Advice& advice);

// That camber was not entered and what that costs; empty where it was, or where it hardly matters.
std::string camber_words(const Advice& advice, const WheelSetting& wheel);

}  // namespace pivotfix
