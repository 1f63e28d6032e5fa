// SPDX-License-Identifier: Apache-2.0
// What is ordered, in workshop words; each empty where there is nothing to say. Private to this folder.
#pragma once

#include <string>

#include "advice/advice.h"

namespace pivotfix {

std::string what_to_do(const Advice& advice);

// Where the other spacers go.
std::string what_to_do_with_the_rest(const Advice& advice);

// Said beside the order too: a corner that locks cannot be steered.
std::string whether_it_locks(const Advice& advice);

// Said at once: else one bolts on what does not cure it, or what the nut does not hold.
std::string how_near(const Advice& advice);

// Why what is ordered is worse than what is on the car now, where it is.
std::string why_worse_than_now(const Advice& advice);

// A stack at hand that a change not worth making would use.
std::string what_else_could_be_done(const Advice& advice);

}  // namespace pivotfix
