// SPDX-License-Identifier: Apache-2.0
// Pictures of a comparison. Each is empty markup when its input is absent.
#pragma once

#include "club_report/comparison.h"
#include "page/markup.h"

namespace pivotfix::report {

enum class Seen { from_ahead, from_the_side, from_above };

// The corner to scale with every pivot's shift as an arrow, enlarged, and the ellipse that chance would keep
// its tip in 95 times out of 100 in this view.
Markup shifts_picture(const ComparisonReport& input, Seen seen);

// How many times shifts and ellipses are enlarged there.
double shift_enlargement(const Comparison& comparison);

// Change since ride height over travel, both measurements.
Markup toe_change_picture(const ComparisonReport& input);
Markup camber_change_picture(const ComparisonReport& input);

}  // namespace pivotfix::report
