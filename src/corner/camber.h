// SPDX-License-Identifier: Apache-2.0
// How sure the wheel's camber is, and what that does to other figures: a cambered wheel steers a little when
// the knuckle's caster changes.
#pragma once

#include <cmath>

#include "base/units.h"
#include "corner/corner.h"

namespace pivotfix {

// Of a camber that nobody read, which counts as 0: road cars stand between -2.5 and +0.5 degrees (common
// practice).
inline constexpr double assumed_camber_sigma_rad = 1.5 * rad_per_deg;

// Standard uncertainty: zero where camber was stated, that of the photos where they gave it, else the assumed
// one.
double camber_sigma_rad(const WheelSetting& wheel);

// Without covariance.
Corner with_camber_changed(const Corner& corner, double by_rad);

// What camber's uncertainty adds to that of `figure_of(corner)`, in quadrature: half of what the figure
// differs by between camber one standard uncertainty either way. Zero where the hardpoints came without
// uncertainties, for then no figure has any, and where the figure is not finite.
template <typename FigureOf>
double sigma_by_camber(const Corner& corner, FigureOf figure_of) {
  const double sigma_rad = camber_sigma_rad(corner.wheel);
  if (sigma_rad == 0.0 || corner.covariance_mm2.size() == 0) return 0.0;
  const double difference =
      figure_of(with_camber_changed(corner, sigma_rad)) - figure_of(with_camber_changed(corner, -sigma_rad));
  return std::isfinite(difference) ? 0.5 * std::abs(difference) : 0.0;
}

}  // namespace pivotfix
