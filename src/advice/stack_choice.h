// SPDX-License-Identifier: Apache-2.0
// Which stacks are offered, and what is proposed where they do not reach. Private to this folder.
#pragma once

#include <vector>

#include "advice/advice.h"

namespace pivotfix {

inline constexpr double stacks_apart_mm = 0.1;  // nearer to each other they are the same in practice
inline constexpr std::size_t stacks_listed = 5;

// Of what is on the stud now.
MustChange why_it_must_change(const RodEnd& rod_end);

// Whether one of them comes near enough to the best height.
bool reaches(const std::vector<Stack>& stacks);

// The nearest to the best height, the nearest first. They keep the total on the stud; where none of them
// reaches, spacers from the box may come on top of it, or some may stay away: see the steps inside.
// `wanted` takes what is only proposed.
std::vector<Stack> stacks_for(const RodEnd& rod_end, double best_mm, WantedPart& wanted);

}  // namespace pivotfix
