// SPDX-License-Identifier: Apache-2.0
// Which spacers to put between steering arm and rod end, and which on its other side.
#pragma once

#include <vector>

#include "advice/advice.h"

namespace pivotfix {

double total_thickness_mm(const std::vector<Spacer>& spacers);

// What stands on the stud now.
Stack stack_now(const RodEnd& rod_end);

// How much the total of all spacers may differ from what the maker wants, where it may at all: no more than
// the locknut's place on the thread tells.
inline constexpr double total_tolerance_mm = 0.25;

// The `most` stacks whose change of rod-end height comes nearest to `height_change_mm`, best first,
// neighbours at least `apart_mm` different in height. Every way to share the spacers out between both sides
// of the rod end (and the box, where RodEnd allows that) is considered; what does not fit the stud is left
// out. Of ways to the same height the one with the fewest spacers between is taken, then the one that moves
// the fewest. Toe figures are left at zero. `more_total_mm`: by so much more the spacers on the stud may add
// up to than what was asked for, as long as they fit it, and by `less_total_mm` less; of ways to a height the
// one nearest to what was asked for is taken. With very many spacers (see stack_search.h) a way to a height
// can be missed whose other side needs unusual spacers; none that is given is wrong.
std::vector<Stack> nearest_stacks(const RodEnd& rod_end, double height_change_mm, std::size_t most,
                                  double apart_mm = 0.0, double more_total_mm = 0.0,
                                  double less_total_mm = 0.0);
inline constexpr double any_total_mm = 1000.0;  // more than there is room for

// What all ordinary spacers on the stud add up to when it is right.
double intended_total_mm(const RodEnd& rod_end);

// Ordinary spacers that would make the rod end's height change exactly this.
WantedPart wanted_part(const RodEnd& rod_end, double height_change_mm);

// Thread that shows beyond the locknut with all spacers on the stud this thick together; NaN when the stud is
// not known.
double thread_beyond_nut_mm(const RodEnd& rod_end, double total_mm);

// The most that all ordinary spacers together may be thick on this stud; infinite when it is not known.
double largest_total_mm(const RodEnd& rod_end);

// "0.200 in + 2 x 0.060 in"
std::string words_of(const std::vector<Spacer>& spacers);

}  // namespace pivotfix
