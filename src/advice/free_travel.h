// SPDX-License-Identifier: Apache-2.0
// How far a wheel goes before its corner locks, and what toe does as far as two curves both go.
#pragma once

#include <string>

#include "advice/advice.h"

namespace pivotfix {

// How far the curve goes. Travel::bump_mm and droop_mm are sizes, as everywhere.
Travel reach_of(const ToeCurve& curve);

// The travel that both curves reach of what was asked for, whole millimetres where one of them locks before.
Travel reached_by_both(const ToeCurve& one, const ToeCurve& other, const Travel& asked);

// Over this travel, which the curve reaches.
double largest_change_rad(const ToeCurve& curve, const Travel& travel);

}  // namespace pivotfix
