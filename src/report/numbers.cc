// SPDX-License-Identifier: Apache-2.0
#include "report/numbers.h"

#include <algorithm>
#include <cmath>

namespace pivotfix::report {
namespace {

constexpr const char* plus_minus = " \xC2\xB1 ";
constexpr const char* degree = "\xC2\xB0";
constexpr int most_decimals = 5;

// Digits after the point (negative: tens, hundreds) at which `sigma` keeps its one or two digits.
int decimals_of(double sigma) {
  const int exponent = static_cast<int>(std::floor(std::log10(sigma)));
  const double first_digits = sigma / std::pow(10.0, exponent);
  return first_digits < 2.95 ? 1 - exponent : -exponent;
}

std::string fixed(double value, int decimals) {
  if (!std::isfinite(value)) return not_known;
  if (decimals >= 0) return format_fixed(value, std::min(decimals, most_decimals));
  const double unit = std::pow(10.0, -decimals);
  return format_fixed(std::round(value / unit) * unit, 0);
}

bool is_zero(const std::string& number) {
  return number.find_first_of("123456789") == std::string::npos;
}

}  // namespace

Rounded rounded(double value, double sigma, int decimals) {
  if (!std::isfinite(value)) return {not_known, ""};
  if (!std::isfinite(sigma) || sigma <= 0.0) return {fixed(value, decimals), ""};
  // An uncertainty below what is ever printed would only add zeros.
  const int known = std::min(decimals_of(sigma), most_decimals);
  return {fixed(value, known), is_zero(fixed(sigma, known)) ? "" : fixed(sigma, known)};
}

std::string value_text(double value, double sigma, int decimals) {
  const Rounded both = rounded(value, sigma, decimals);
  return both.sigma.empty() ? both.value : both.value + plus_minus + both.sigma;
}

int column_decimals(double largest_sigma, int decimals) {
  if (!std::isfinite(largest_sigma) || largest_sigma <= 0.0) return decimals;
  return std::clamp(1 - static_cast<int>(std::floor(std::log10(largest_sigma))), 0, most_decimals);
}

std::string column_text(double value, double sigma, int decimals) {
  if (!std::isfinite(value)) return not_known;
  const std::string text = format_fixed(value, decimals);
  if (!std::isfinite(sigma) || sigma <= 0.0) return text;
  return text + plus_minus + format_fixed(sigma, decimals);
}

std::string angle_text(const Uncertain& angle_rad, int decimals) {
  if (!std::isfinite(angle_rad.value)) return not_known;
  return value_text(deg_from_rad(angle_rad.value), deg_from_rad(angle_rad.sigma), decimals) + degree;
}

namespace {
int inch_decimals(int decimals_mm) {
  return std::min(decimals_mm + 2, 3);
}
}  // namespace

std::string length_text(double length_mm, double sigma_mm, LengthUnit unit, int decimals_mm) {
  if (!std::isfinite(length_mm)) return not_known;
  if (unit == LengthUnit::millimetre) return value_text(length_mm, sigma_mm, decimals_mm) + " mm";
  return value_text(length_mm / mm_per_inch, sigma_mm / mm_per_inch, inch_decimals(decimals_mm)) + " in";
}

std::string length_in_both(double length_mm, double sigma_mm, LengthUnit unit, int decimals_mm) {
  if (!std::isfinite(length_mm)) return not_known;
  const bool inch = unit == LengthUnit::inch;
  const double other_unit_mm = inch ? 1.0 : mm_per_inch;
  const Rounded other = rounded(length_mm / other_unit_mm, sigma_mm / other_unit_mm,
                                inch ? decimals_mm : inch_decimals(decimals_mm));
  return length_text(length_mm, sigma_mm, unit, decimals_mm) + " (" + other.value + (inch ? " mm)" : " in)");
}

std::string toe_words(double toe_rad, double sigma_rad, int decimals) {
  const Rounded toe = rounded(std::abs(deg_from_rad(toe_rad)), deg_from_rad(sigma_rad), decimals);
  if (!std::isfinite(toe_rad)) return not_known;
  if (is_zero(toe.value)) return no_toe_change;
  return toe.value + degree + (toe_rad > 0.0 ? " toe-in" : " toe-out");
}

double toe_at_rim_mm(double toe_rad, double rim_diameter_mm) {
  return rim_diameter_mm * std::sin(toe_rad);
}

std::string move_words(double height_mm, double sigma_mm, LengthUnit unit) {
  if (!std::isfinite(height_mm)) return not_known;
  const double unit_mm = unit == LengthUnit::inch ? mm_per_inch : 1.0;
  const Rounded move = rounded(height_mm / unit_mm, sigma_mm / unit_mm, unit == LengthUnit::inch ? 3 : 1);
  if (is_zero(move.value) && move.sigma.empty()) return "stays where it is";
  return length_text(std::abs(height_mm), sigma_mm, unit, 1) + (height_mm > 0.0 ? " higher" : " lower");
}

std::string counted(std::size_t count, const std::string& noun) {
  return std::to_string(count) + " " + noun + (count == 1 ? "" : "s");
}

}  // namespace pivotfix::report
