// SPDX-License-Identifier: Apache-2.0
// Which spacers to put between steering arm and rod end.
#pragma once

#include <vector>

#include "advice/advice.h"

namespace pivotfix {

double total_thickness_mm(const std::vector<Spacer>& spacers);

// The `most` stacks whose change of rod-end height comes nearest to `height_change_mm`, all of different
// height, best first; every choice from the stock is considered. Spacers on the car count as stock. Of stacks
// of the same height the one with the fewest spacers is taken, then the one that uses most of those on the
// car, so that as little as possible is added to what the stud clamps. Toe figures are left at zero.
std::vector<Stack> nearest_stacks(const RodEnd& rod_end, double height_change_mm, std::size_t most);

// "0.200 in + 2 x 0.060 in"
std::string words_of(const std::vector<Spacer>& spacers);

}  // namespace pivotfix
