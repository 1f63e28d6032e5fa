// SPDX-License-Identifier: Apache-2.0
// What a reader of the report can try without the program: every height that the spacers at hand give the rod
// end, solved ahead with the curve of each, and how the wheel moves as the car is now.
#pragma once

#include <vector>

#include "advice/advice.h"

namespace pivotfix {

struct RodEndChoice {
  Stack stack{};     // without spacers named: its height_change_mm alone
  ToeCurve curve{};  // with its uncertainty
};

struct Exploration {
  std::vector<RodEndChoice> choices{};  // from the lowest rod end to the highest
  bool from_stock = false;              // false: no spacers were named, heights in equal steps
  std::size_t now = 0;                  // the choice that leaves the rod end where it is
  std::size_t suggested = 0;            // the advice's own: its first stack, the best height, or `now`
  Curve motion{};                       // of the left corner that `make_corner` makes, as it is now
};

// `advice` is the answer to `question`; readings that it worked in count here too. Throws Problem(refused)
// like advise.
Exploration explore(const AdviceQuestion& question, const Advice& advice);

}  // namespace pivotfix
