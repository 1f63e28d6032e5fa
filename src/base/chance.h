// SPDX-License-Identifier: Apache-2.0
// What chance explains of a sum of squares.
#pragma once

#include <cmath>

namespace pivotfix {

// A sum of `freedom` squared standard deviates as one standard deviate: its cube root is nearly normal
// (Wilson and Hilferty, "The Distribution of Chi-Square", Proceedings of the National Academy of Sciences 17,
// 1931).
inline double normal_deviate(double squares, double freedom) {
  const double spread = 2.0 / (9.0 * freedom);
  return (std::cbrt(squares / freedom) - (1.0 - spread)) / std::sqrt(spread);
}

}  // namespace pivotfix
