// SPDX-License-Identifier: Apache-2.0
// What chance explains of a sum of squares, and how little a few of them tell.
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

// An error over the standard deviation that so many degrees of freedom tell of it has Student's distribution:
// by what to multiply a variance that rests on them. From three on it is that distribution's own variance, f
// / (f - 2) (JCGM 101:2008, 6.4.9). For one and two, which have none, nineteen of twenty of its values lie
// within 12.706 and 4.303 (printed table) where the normal distribution's lie within 1.96.
inline double variance_widened_for_few(double freedom) {
  constexpr double normal = 1.96, student_of_one = 12.706, student_of_two = 4.303;
  if (freedom < 1.5) return (student_of_one / normal) * (student_of_one / normal);
  if (freedom < 2.5) return (student_of_two / normal) * (student_of_two / normal);
  return freedom / (freedom - 2.0);
}

}  // namespace pivotfix
