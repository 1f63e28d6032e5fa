// SPDX-License-Identifier: Apache-2.0
#include "network/photo_shifts.h"

#include <algorithm>
#include <cmath>

namespace pivotfix {

// Spread of the photos' shifts by variance components: squares over the degrees of freedom that the photos
// themselves determine (MacKay, "Bayesian Interpolation", Neural Computation 4, 1992, section 4).
PhotoShift estimate_shift_sigma(const Bundle& bundle, const BundleCovariance& found) {
  const auto component = [&](std::initializer_list<int> kinds, double least) {
    double squares = 0.0, determined = 0.0;
    for (std::size_t i = 0; i < bundle.stations.size(); ++i)
      for (const int kind : kinds) {
        const double prior = bundle.shift_sigma[kind] * bundle.shift_sigma[kind];
        const double left = found.shifts[i](kind, kind);
        if (left <= 0.0) continue;  // a photo that takes no part
        squares += bundle.stations[i].shift[kind] * bundle.stations[i].shift[kind];
        determined += 1.0 - left / prior;
      }
    return determined > 0.1 ? std::max(least, std::sqrt(squares / determined)) : least;
  };
  // A hand turns a camera up and down as much as sideways.
  const double principal = component({shift_principal_x_px, shift_principal_y_px}, least_shift_sigma[0]);
  const double turn = component({shift_turn_x, shift_turn_y}, least_shift_sigma[shift_turn_x]);
  return {principal, principal, component({shift_focal}, least_shift_sigma[shift_focal]),
          turn,      turn,      component({shift_turn_z}, least_shift_sigma[shift_turn_z])};
}

bool has_settled(const PhotoShift& before, const PhotoShift& now) {
  for (std::size_t kind = 0; kind < now.size(); ++kind) {
    const bool is_nothing = std::max(before[kind], now[kind]) < 3.0 * least_shift_sigma[kind];
    if (!is_nothing && std::abs(now[kind] / before[kind] - 1.0) >= 0.05) return false;
  }
  return true;
}

double found_noise(const Bundle& bundle, const BundleCovariance& found) {
  double squares = 0.0, redundancy = 0.0;
  for (std::size_t i = 0; i < bundle.observations.size(); ++i) {
    squares += found.observation_square[i];
    redundancy += found.observation_redundancy[i];
  }
  return redundancy > 1.0 ? std::sqrt(squares / redundancy) : 1.0;
}

}  // namespace pivotfix
