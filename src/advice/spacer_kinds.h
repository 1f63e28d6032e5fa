// SPDX-License-Identifier: Apache-2.0
// The spacers at hand, sorted into kinds of the same thickness. Private to this folder.
#pragma once

#include <vector>

#include "hardpoints/rod_end.h"

namespace pivotfix {

inline constexpr double grid_mm = 1e-3;  // stacks are told apart to a micrometre

struct SpacerKind {
  Spacer spacer{};  // count: how many there are
  int between_now = 0;
  int other_side_now = 0;
  int ticks = 0;  // thickness in grid steps
};

// Thickest first. Throws Problem(input) for a thickness that cannot be.
std::vector<SpacerKind> kinds_of(const RodEnd& rod_end);

// True when the user said what the spacers on the stud add up to; else all of them are on it.
bool may_leave_spacers_over(const RodEnd& rod_end);

Spacer high_misalignment_spacer(const RodEnd& rod_end);

}  // namespace pivotfix
