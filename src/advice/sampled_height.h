// SPDX-License-Identifier: Apache-2.0
// Is the height's standard uncertainty, carried over by derivatives alone, good enough? Where the points are
// so uncertain that the height bends over their range, by draws from their covariance instead.
#pragma once

#include "advice/advice.h"
#include "advice/height.h"

namespace pivotfix {

// By a few pairs of draws, each with its opposite: what derivatives do not explain of them (JCGM 101:2008,
// clause 8, asks for such a comparison) must stay below a tenth of the standard uncertainty.
bool derivatives_suffice(const Corner& corner, const Driving& driving, const BestHeight& best);

// Propagation of distributions after JCGM 101:2008, clause 7: normal points, always the same draws. Standard
// uncertainty about the best height and the probabilistically symmetric 95 % range (2.5 % beyond either end).
HeightDraws draw_heights(const Corner& corner, const Driving& driving, const BestHeight& best);

}  // namespace pivotfix
