// SPDX-License-Identifier: Apache-2.0
#include "advice/camber_words.h"

#include <cmath>

#include "advice/wording.h"
#include "corner/camber.h"

namespace pivotfix {

double camber_share(const Advice& advice) {
  const double sigma_mm = advice.best_height_change_mm.sigma;
  return sigma_mm > 0.0 ? std::pow(advice.height_sigma_by_camber_mm / sigma_mm, 2) : 0.0;
}

bool camber_weighs_most(const Advice& advice) {
  const double share = camber_share(advice);
  return share > 0.0 && (advice.shares.empty() || share > advice.shares.front().share);
}

std::string camber_words(const Advice& advice, const WheelSetting& wheel) {
  constexpr double least_mm = 0.05;
  constexpr double least_part = 0.1;  // of the height's standard uncertainty
  const double added_mm = advice.height_sigma_by_camber_mm;
  if (wheel.camber_is_known || added_mm < least_mm ||
      added_mm < least_part * advice.best_height_change_mm.sigma)
    return "";
  return "Camber was not entered: 0 \xC2\xB1 " + degree_words(assumed_camber_sigma_rad, 1) +
         " deg is assumed, which adds \xC2\xB1 " + mm_words(added_mm, added_mm < 0.1 ? 2 : 1) +
         " to the height's uncertainty. Enter it: camber under [wheel] in a job, camber_deg in a hardpoint "
         "file.";
}

}  // namespace pivotfix
