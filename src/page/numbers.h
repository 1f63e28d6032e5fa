// SPDX-License-Identifier: Apache-2.0
// Numbers as people read them: rounded to what is known, with their unit, never "-0.00", never "nan".
#pragma once

#include <string>
#include <string_view>

#include "base/uncertain.h"
#include "base/units.h"

namespace pivotfix::report {

inline constexpr const char* not_known = "\xE2\x80\x93";  // en dash

struct Rounded {
  std::string value{};
  std::string sigma{};  // empty when not known
};

// The uncertainty keeps two digits when the first is 1 or 2, else one; the value ends at the same place
// (common practice after JCGM 100, 7.2.6). Without an uncertainty the value gets `decimals`.
Rounded rounded(double value, double sigma, int decimals);

// "-5.1 ± 0.4", "-5.10"
std::string value_text(double value, double sigma, int decimals);

// One number of decimals for a column: two digits of its largest uncertainty.
int column_decimals(double largest_sigma, int decimals);

// "-0.377 ± 0.016" with exactly `decimals`; the uncertainty is left out when not known or not wanted.
std::string column_text(double value, double sigma, int decimals);

// "1.74 ± 0.13°"
std::string angle_text(const Uncertain& angle_rad, int decimals);

// Digits after the point for a length that gets `decimals_mm` in millimetres.
int decimals_in(LengthUnit unit, int decimals_mm);
// For lengths to a hundredth of a millimetre in a table or on a label: 2, 3, 0.
inline int fine_decimals(LengthUnit unit) {
  return decimals_in(unit, 2);
}

// "-5.1 ± 0.4 mm", "-0.200 ± 0.016 in"; `decimals_mm` without uncertainty, inches get
// two more, at most three.
std::string length_text(double length_mm, double sigma_mm, LengthUnit unit, int decimals_mm);
inline std::string length_text(const Uncertain& length_mm, LengthUnit unit, int decimals_mm) {
  return length_text(length_mm.value, length_mm.sigma, unit, decimals_mm);
}

// Some metres off and hardly known: a centre where two almost parallel lines meet. Its number says nothing.
bool is_far_away(double distance_mm, double sigma_mm);

// The user's unit first, the other one in brackets: "5.1 ± 0.4 mm (0.201 in)".
std::string length_in_both(double length_mm, double sigma_mm, LengthUnit unit, int decimals_mm);

// "0.22° toe-out", no_toe_change when it rounds to nothing.
inline constexpr const char* no_toe_change = "no toe change";
std::string toe_words(double toe_rad, double sigma_rad, int decimals);

// Toe as the difference of the rim's edges, at the rim's diameter.
double toe_at_rim_mm(double toe_rad, double rim_diameter_mm);

// "3.4 mm lower", "stays where it is"
std::string move_words(double height_mm, double sigma_mm, LengthUnit unit);

// "0.8 mm too low" for -0.8 mm, "on it" when it rounds to nothing.
std::string off_words(double above_wanted_mm, LengthUnit unit);

// Words that other stages speak in millimetres, in this unit: "8.6 ± 0.4 mm lower" becomes "339 ± 16 thou
// lower". Each length keeps its number of significant places, or gets up to two more where it would round to
// nothing. Only lengths that are marked as the program's
// own (base/length_words.h) change; what a user typed stays.
std::string lengths_in(std::string_view words, LengthUnit unit);

// "lower arm front pivot"
std::string spoken(std::string_view hardpoint_name);

// Head of a column or an axis.
inline std::string travel_head(LengthUnit unit) {
  return "travel, " + std::string(name_of(unit));
}

std::string counted(std::size_t count, const std::string& noun);  // "1 photo", "3 photos"

}  // namespace pivotfix::report
