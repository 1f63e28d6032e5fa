// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>
#include <cmath>
#include <limits>

namespace pivotfix {

// For the largest miss of many. What is no number counts as infinitely large: std::max(largest, NAN) is
// `largest`.
inline void keep_larger(double& largest, double other) {
  largest = std::isnan(other) ? std::numeric_limits<double>::infinity() : std::max(largest, other);
}

}  // namespace pivotfix
