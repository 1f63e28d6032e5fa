// SPDX-License-Identifier: Apache-2.0
// How much stabiliser and autofocus moved the lens from photo to photo. Private to the network stage.
#pragma once

#include "network/bundle.h"

namespace pivotfix {

// Start of the photos' shifts before their spread is estimated, and what counts as none.
inline constexpr PhotoShift first_shift_sigma{3.0, 3.0, 1e-3};
inline constexpr PhotoShift least_shift_sigma{0.05, 0.05, 2e-5};

PhotoShift estimate_shift_sigma(const Bundle& bundle, const BundleCovariance& found);

// Factor by which residuals exceed their weights.
double found_noise(const Bundle& bundle, const BundleCovariance& found);

}  // namespace pivotfix
