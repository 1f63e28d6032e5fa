// SPDX-License-Identifier: Apache-2.0
#include "base/chi_square.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace pivotfix {

// Q(k/2, x/2) by its recursion in k from Q(1/2, y) = erfc(sqrt y) and Q(1, y) = exp(-y) (Abramowitz and
// Stegun 6.5; from memory).
double chi_square_probability(double chi_square, int degrees_of_freedom) {
  const double y = 0.5 * std::max(0.0, chi_square);
  double a = degrees_of_freedom % 2 == 1 ? 0.5 : 1.0;
  double probability = degrees_of_freedom % 2 == 1 ? std::erfc(std::sqrt(y)) : std::exp(-y);
  // term = y^a exp(-y) / gamma(a + 1)
  double term =
      degrees_of_freedom % 2 == 1 ? 2.0 * std::sqrt(y / std::numbers::pi) * std::exp(-y) : y * std::exp(-y);
  for (; 2.0 * a < degrees_of_freedom - 0.5; a += 1.0) {
    probability += term;
    term *= y / (a + 1.0);
  }
  return std::min(1.0, probability);
}

double chi_square_at(double probability, int degrees_of_freedom) {
  double low = 0.0, high = 2000.0;
  while (high - low > 1e-12 * high) {
    const double middle = 0.5 * (low + high);
    (chi_square_probability(middle, degrees_of_freedom) > probability ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

}  // namespace pivotfix
