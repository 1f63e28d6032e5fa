// SPDX-License-Identifier: Apache-2.0
// What is near enough and what is worth doing: each rule in one place, for the answer and for its words.
// Private to this folder.
#pragma once

#include <optional>

#include "advice/advice.h"

namespace pivotfix {

// Whether toe differs by as much as anyone reads, anywhere in the travel that both curves have.
bool shows_in_toe(const ToeCurve& now, const ToeCurve& then);

// Whether the figure that the aim asks to be small falls, over the travel that both curves have.
bool is_flatter(const ToeCurve& then, const ToeCurve& now, const Driving& driving);

// Whether going to the best height would be worth it, whatever the spacers.
bool worth_changing(const Advice& advice, const RodEnd& rod_end);

// Whether the first stack brings anything that shows.
bool first_stack_helps(const Advice& advice);

// Whether toe change per inch at ride height grows by as much as is worth a word.
bool steeper_at_ride_height(const ToeCurve& then, const ToeCurve& now);

// Whether the first stack is ordered though what the aim asks for grows with it.
bool worse_than_now(const Advice& advice);

// What stands between steering arm and rod end now, on a stud that may stay so; none where it may not.
std::optional<Stack> stack_that_may_stay(const Advice& advice, const RodEnd& rod_end);

// Of the first stack, where it does not reach the best height.
NearEnough how_near_enough(const Advice& advice);

}  // namespace pivotfix
