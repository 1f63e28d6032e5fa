// SPDX-License-Identifier: Apache-2.0
// Where to stand for the next photo: a sentence, a list, a plan of the corner.
#pragma once

#include <string>

#include "page/markup.h"
#include "report/report.h"

namespace pivotfix::report {

// "The best height of the rod end is known to ± 0.12 mm. The photos that would help most:"
std::string shots_sentence(const ShotPlan& plan, LengthUnit unit);

// "± 0.08 mm"
std::string sigma_text(double sigma_mm, LengthUnit unit);

}  // namespace pivotfix::report
