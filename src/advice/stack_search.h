// SPDX-License-Identifier: Apache-2.0
// Which sums of thicknesses a stock of spacers can make, and the cheapest way to each. Private to this
// folder.
#pragma once

#include <vector>

#include "advice/spacer_kinds.h"

namespace pivotfix {

// How many of each kind go where; the rest stays in the box.
struct Placement {
  std::vector<int> between{};
  std::vector<int> other_side{};
  int between_ticks = 0;
};

// All in grid steps.
struct SumsWanted {
  double between_ticks = 0.0;     // as near as can be
  int largest_between_ticks = 0;  // farther sums are never near
  bool all_on_stud = true;        // false: these limits hold for all spacers on the stud together
  int stud_ticks = 0;             // wanted ...
  int smallest_stud_ticks = 0;    // ... and allowed
  int largest_stud_ticks = 0;
  std::size_t most = 1;      // placements
  double apart_ticks = 0.0;  // between their sums
};

// The nearest first. Of ways to one sum between, the one nearest to the wanted sum on the stud (to a
// hundredth of a millimetre), then the one with the fewest spacers between, then the one that moves the
// fewest. Exact while all ways can be tried in some hundredths of a second. With more spacers than that, sums
// between are still exact, but only the cheapest way to each is tried for the stud.
std::vector<Placement> nearest_placements(const std::vector<SpacerKind>& kinds, const SumsWanted& wanted);

}  // namespace pivotfix
