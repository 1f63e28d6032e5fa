// SPDX-License-Identifier: Apache-2.0
// Toe at any travel of a curve.
#pragma once

#include <optional>

#include "advice/advice.h"

namespace pivotfix {

// Whether the curve has a toe change for each travel.
bool known(const ToeCurve& curve);

struct ToeAt {
  double toe_rad = 0.0;
  double sigma_rad = 0.0;
};
// Between the curve's points by straight lines; empty outside them.
std::optional<ToeAt> toe_at(const ToeCurve& curve, double travel_mm);

}  // namespace pivotfix
