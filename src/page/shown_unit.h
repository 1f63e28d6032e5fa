// SPDX-License-Identifier: Apache-2.0
// Units of length as reports show them: those of the files, and thousandths of an inch, which nobody writes
// into a file but many read off a caliper.
#pragma once

#include <string>
#include <string_view>

#include "base/units.h"

namespace pivotfix::report {

inline constexpr LengthUnit thousandth{2};

constexpr double mm_per(LengthUnit unit) {
  if (unit == LengthUnit::millimetre) return 1.0;
  return unit == thousandth ? mm_per_inch / 1000.0 : mm_per_inch;
}

constexpr std::string_view name_of(LengthUnit unit) {
  if (unit == LengthUnit::millimetre) return "mm";
  return unit == thousandth ? "thou" : "in";
}

// "12.70 mm", "0.500 in", "500 thou"
inline std::string shown_length(double length_mm, LengthUnit unit, int decimals) {
  return format_fixed(length_mm / mm_per(unit), decimals) + " " + std::string(name_of(unit));
}

}  // namespace pivotfix::report
