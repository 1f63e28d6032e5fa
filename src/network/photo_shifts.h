// SPDX-License-Identifier: Apache-2.0
// How much stabiliser, autofocus and the hand moved the picture from photo to photo. Private to the network
// stage.
#pragma once

#include "bundle/bundle.h"

namespace pivotfix {

// Start of the photos' shifts before their spread is estimated, and what counts as none.
inline constexpr PhotoShift first_shift_sigma{3.0, 3.0, 1e-3, 5e-4, 5e-4, 5e-4};
inline constexpr PhotoShift least_shift_sigma{0.05, 0.05, 2e-5, 1e-5, 1e-5, 2e-5};

PhotoShift estimate_shift_sigma(const Bundle& bundle, const BundleCovariance& found);

// Whether another round with `now` in place of `before` would change nothing that counts.
bool has_settled(const PhotoShift& before, const PhotoShift& now);

// Factor by which residuals exceed their weights.
double found_noise(const Bundle& bundle, const BundleCovariance& found);

}  // namespace pivotfix
