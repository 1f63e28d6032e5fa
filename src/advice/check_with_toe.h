// SPDX-License-Identifier: Apache-2.0
// A point typed wrong can make a corner like any other. Toe read on the car tells.
#pragma once

#include <string>

#include "advice/advice.h"

namespace pivotfix {

// For hardpoints that nothing else checks: what toe must do in the first inch of bump, and what it means
// where it does otherwise. Empty where the curve does not tell.
std::string check_with_toe_words(const Advice& advice);

}  // namespace pivotfix
