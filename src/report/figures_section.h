// SPDX-License-Identifier: Apache-2.0
// The page's section with all figures over travel.
#pragma once

#include "page/markup.h"
#include "report/report.h"

namespace pivotfix::report {

// Empty markup when the input has no figures.
Markup figures_section(const ReportInput& input);

// Camber, caster, scrub radius, trail, track change and roll centre over travel, side by side.
Markup figures_picture(const CornerFigures& figures);

}  // namespace pivotfix::report
