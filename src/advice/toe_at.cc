// SPDX-License-Identifier: Apache-2.0
#include "advice/toe_at.h"

#include <cmath>

namespace pivotfix {
namespace {

double sigma_at(const ToeCurve& curve, std::size_t i) {
  return i < curve.toe_change_sigma_rad.size() ? curve.toe_change_sigma_rad[i] : 0.0;
}

}  // namespace

bool known(const ToeCurve& curve) {
  return !curve.travel_mm.empty() && curve.toe_change_rad.size() == curve.travel_mm.size();
}

std::optional<ToeAt> toe_at(const ToeCurve& curve, double travel_mm) {
  if (!known(curve)) return std::nullopt;
  for (std::size_t i = 0; i < curve.travel_mm.size(); ++i) {
    if (std::abs(curve.travel_mm[i] - travel_mm) < 1e-6)
      return ToeAt{curve.toe_change_rad[i], sigma_at(curve, i)};
    if (i == 0 || curve.travel_mm[i - 1] > travel_mm || curve.travel_mm[i] < travel_mm) continue;
    const double share = (travel_mm - curve.travel_mm[i - 1]) / (curve.travel_mm[i] - curve.travel_mm[i - 1]);
    return ToeAt{std::lerp(curve.toe_change_rad[i - 1], curve.toe_change_rad[i], share),
                 std::lerp(sigma_at(curve, i - 1), sigma_at(curve, i), share)};
  }
  return std::nullopt;
}

}  // namespace pivotfix
