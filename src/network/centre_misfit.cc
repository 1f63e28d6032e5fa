// SPDX-License-Identifier: Apache-2.0
#include "network/centre_misfit.h"

#include <algorithm>
#include <cmath>

namespace pivotfix {

double centre_misfit(const StartedBundle& started, const BundleCovariance& found) {
  constexpr double fewest = 10.0;  // degrees of freedom, too few to say anything
  const Bundle& bundle = started.bundle;
  std::vector<bool> is_odd(bundle.targets.size());
  for (std::size_t i = 0; i < bundle.observations.size(); ++i)
    if (started.used[i].fate == Fate::misfits) is_odd[bundle.observations[i].target] = true;
  double squares = 0.0, expected = 0.0;
  for (std::size_t i = 0; i < bundle.observations.size(); ++i) {
    if (is_odd[bundle.observations[i].target]) continue;
    squares += found.centre_square[i];
    expected += found.centre_redundancy[i];
  }
  return expected < fewest ? 1.0 : squares / expected;
}

double widened_for_bent_pictures(double centre_misfit) {
  constexpr double usual = 1.5;          // of sharp photos through a lens as it should be
  constexpr double neighbourhood = 5.0;  // tags that err alike, found on simulated pictures
  return std::sqrt(1.0 + neighbourhood * std::max(0.0, centre_misfit - usual));
}

}  // namespace pivotfix
