// SPDX-License-Identifier: Apache-2.0
// The advice in workshop words.
#pragma once

#include <string>
#include <vector>

#include "advice/advice.h"
#include "advice/height.h"

namespace pivotfix {

// A height this near is as good as met: nobody sets a spacer or reads a gauge finer.
inline constexpr double near_enough_mm = 0.5;
// More than spacers usually cure.
inline constexpr double implausible_height_mm = 30.0;
// A change smaller than this is none.
inline constexpr double no_change_mm = 0.05;
// A height known no better than this says only that it must be measured again.
inline constexpr double coarse_mm = 2.0;

// No workshop measures anything finer: what is given as finer is given as exact, and nothing is known of it.
inline constexpr double exact_mm = 0.005;

std::vector<std::string> sentences_of(const Advice& advice, const Corner& corner, const BestHeight& best);

std::vector<std::string> warnings_of(const Advice& advice, const Corner& corner, const RodEnd& rod_end,
                                     const BestHeight& best);

// Null where that height was not found.
const AimedHeight* height_of(const Advice& advice, HeightAim aim);

// Whether the first stack is the nearest to the best height: the aim may put another one before that. Both
// need a stack.
bool first_is_nearest(const Advice& advice);
std::string first_stack_is(const Advice& advice);  // "nearest", or else "flattest"

// With the first stack, or without stacks at the best height.
const ToeCurve& curve_then(const Advice& advice);

// Pieces of sentences.
std::string mm_words(double length_mm, int decimals = 1);      // "4.1 mm"
std::string round_mm_words(double length_mm);                  // "40 mm", "37.5 mm"
std::string degree_words(double angle_rad, int decimals = 2);  // "0.19"
std::string plus_minus_words(double sigma_mm);  // " ± 0.4 mm", nothing when not known or exact

}  // namespace pivotfix
