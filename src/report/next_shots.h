// SPDX-License-Identifier: Apache-2.0
// Where to stand for the next photo: a sentence, a list, a plan of the corner.
#pragma once

#include <string>

#include "page/markup.h"
#include "report/report.h"

namespace pivotfix::report {

// "The best height of the rod end is known to ± 0.12 mm. These photos would help most ..."
std::string shots_sentence(const ShotPlan& plan, LengthUnit unit);

// "Most of the ± comes from what was measured by hand ...: the stand-off of ..."; empty when that is not so.
// Lengths are marked, for lengths_in.
std::string hand_sentence(const ShotPlan& plan);

// "± 0.08 mm"
std::string sigma_text(double sigma_mm, LengthUnit unit);

}  // namespace pivotfix::report
