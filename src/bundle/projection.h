// SPDX-License-Identifier: Apache-2.0
// From points on a target to whitened residuals, with derivatives. Private to the bundle stage and its tests.
#pragma once

#include "bundle/bundle.h"

namespace pivotfix {

// One observation at its bundle's present unknowns; see `local_jacobian`. `rows` is 8 for the four corners of
// a tag, Eigen::Dynamic for any other number of points.
template <int rows>
struct Linearised {
  Eigen::Matrix<double, rows, 1> residuals{};
  Eigen::Matrix<double, rows, local_width> jacobian{};
};

template <int rows>
void linearise_observation(const Bundle& bundle, const BundleObservation& observation, Linearised<rows>& at);

}  // namespace pivotfix
