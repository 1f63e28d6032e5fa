// SPDX-License-Identifier: Apache-2.0
#include "advice/check_with_toe.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "advice/toe_at.h"
#include "advice/wording.h"
#include "base/units.h"

namespace pivotfix {

std::string check_with_toe_words(const Advice& advice) {
  constexpr double least_mm = 5.0;
  if (!known(advice.now)) return "";
  const double travel_mm = std::min(mm_per_inch, advice.now.travel_mm.back());
  const std::optional<ToeAt> toe = toe_at(advice.now, travel_mm);
  if (!toe || travel_mm < least_mm) return "";
  const std::string sigma =
      toe->sigma_rad > 0.0 ? " ± " + degree_words(std::max(toe->sigma_rad, 1e-2 * rad_per_deg)) : "";
  return "Nothing here says that these hardpoints come from photos, and nothing checks them. Before you "
         "change anything, read "
         "toe at ride height and with the wheel " +
         round_mm_words(travel_mm) + " higher: " +
         (degree_words(std::abs(toe->toe_rad)) != degree_words(0.0)
              ? "it must go " + std::string(toe->toe_rad > 0.0 ? "in" : "out") + " by " +
                    degree_words(std::abs(toe->toe_rad)) + sigma + " deg"
              : "it must not change") +
         ". If it does otherwise, a hardpoint is wrong.";
}

}  // namespace pivotfix
