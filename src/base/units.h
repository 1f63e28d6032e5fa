// SPDX-License-Identifier: Apache-2.0
// Lengths and angles: the only place where units are converted.
// Inside the program every length is in millimetres, every angle in radians.
#pragma once

#include <numbers>
#include <string>
#include <string_view>

namespace pivotfix {

inline constexpr double mm_per_inch = 25.4;  // exact, by definition (1959)
inline constexpr double rad_per_deg = std::numbers::pi / 180.0;

constexpr double deg_from_rad(double rad) {
  return rad / rad_per_deg;
}
constexpr double rad_from_deg(double deg) {
  return deg * rad_per_deg;
}

// Those of files and options, and thousandths of an inch, which nobody writes into a file but many read off a
// caliper: only reports show them.
enum class LengthUnit { millimetre, inch, thousandth };

constexpr double mm_per(LengthUnit unit) {
  switch (unit) {
    case LengthUnit::inch:
      return mm_per_inch;
    case LengthUnit::thousandth:
      return mm_per_inch / 1000.0;
    case LengthUnit::millimetre:
      break;
  }
  return 1.0;
}

// "mm", "in", "thou"
constexpr std::string_view name_of(LengthUnit unit) {
  switch (unit) {
    case LengthUnit::inch:
      return "in";
    case LengthUnit::thousandth:
      return "thou";
    case LengthUnit::millimetre:
      break;
  }
  return "mm";
}

// "25.4 mm", "2.5 cm", "0.2 m", "1 in", "0.200 inch", "60 thou"; a bare number is in `bare_unit`.
// Throws Problem(input) that quotes the text when it is no length or not finite.
double parse_length_mm(std::string_view text, LengthUnit bare_unit);

// "0.1 deg", "6 min" (arc minutes), "1.5 mrad", "0.02 rad"; a bare number is in degrees.
double parse_angle_rad(std::string_view text);

// A length as somebody typed it, with the unit that counts after a bare number: "0.2" of an inch job is
// "0.2 in".
std::string length_as_written(std::string_view text, LengthUnit bare_unit);

// "12.70 mm", "0.500 in", "500 thou": `decimals` digits after the point.
std::string format_length(double length_mm, LengthUnit unit, int decimals);

// Digits after the point, up to two more than `decimals` where the value would else round to nothing.
int decimals_that_show(double value, int decimals);

// Fixed-point text of a number, independent of the locale; never "-0.00".
std::string format_fixed(double value, int decimals);

}  // namespace pivotfix
