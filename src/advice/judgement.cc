// SPDX-License-Identifier: Apache-2.0
#include "advice/judgement.h"

#include <algorithm>

#include "advice/wording.h"
#include "base/units.h"

namespace pivotfix {

NearEnough how_near_enough(const Advice& advice) {
  constexpr double hardly_read_rad = 0.05 * rad_per_deg;
  const double doubt_mm = 2.0 * advice.best_height_change_mm.sigma;
  if (advice.wanted_part.short_by_mm < std::min(doubt_mm, 2.0 * near_enough_mm))
    return NearEnough::within_doubt;
  return advice.with_stack.largest_change_rad - advice.best.largest_change_rad < hardly_read_rad
             ? NearEnough::hardly_shows
             : NearEnough::no;
}

}  // namespace pivotfix
