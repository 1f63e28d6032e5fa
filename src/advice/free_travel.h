// SPDX-License-Identifier: Apache-2.0
// How far a wheel goes before its corner locks, and what toe does as far as two curves both go.
#pragma once

#include <string>

#include "advice/advice.h"

namespace pivotfix {

// How far the curve goes. Travel::bump_mm and droop_mm are sizes, as everywhere.
Travel reach_of(const ToeCurve& curve);

// The same for a rod end that stands so much higher.
Travel reach_at(const Corner& corner, double height_mm, const Travel& asked);

// By a millimetre or more, to either side.
bool locks_before(const Travel& then, const Travel& now);

// "117 mm of droop (today: free to 127 mm)"; for a reach that locks before today's.
std::string locks_at_words(const Travel& then, const Travel& now, const Travel& asked);

// The travel that both curves reach of what was asked for, whole millimetres where one of them locks before.
Travel reached_by_both(const ToeCurve& one, const ToeCurve& other, const Travel& asked);

// Over this travel, which the curve reaches.
double largest_change_rad(const ToeCurve& curve, const Travel& travel);

}  // namespace pivotfix
