// SPDX-License-Identifier: Apache-2.0
#include "page/numbers.h"

#include <algorithm>
#include <cmath>
#include <regex>

#include "base/length_words.h"

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
  std::string text = format_fixed(value, decimals);
  if (!std::isfinite(sigma) || sigma <= 0.0) return text;
  return text + plus_minus + format_fixed(sigma, decimals);
}

std::string angle_text(const Uncertain& angle_rad, int decimals) {
  if (!std::isfinite(angle_rad.value)) return not_known;
  return value_text(deg_from_rad(angle_rad.value), deg_from_rad(angle_rad.sigma), decimals) + degree;
}

int decimals_in(LengthUnit unit, int decimals_mm) {
  if (unit == LengthUnit::millimetre) return decimals_mm;
  return unit == LengthUnit::inch ? std::min(decimals_mm + 2, 3) : 0;
}

std::string length_text(double length_mm, double sigma_mm, LengthUnit unit, int decimals_mm) {
  if (!std::isfinite(length_mm)) return not_known;
  return value_text(length_mm / mm_per(unit), sigma_mm / mm_per(unit), decimals_in(unit, decimals_mm)) + " " +
         std::string(name_of(unit));
}

std::string length_in_both(double length_mm, double sigma_mm, LengthUnit unit, int decimals_mm) {
  if (!std::isfinite(length_mm)) return not_known;
  const LengthUnit other_unit = unit == LengthUnit::millimetre ? LengthUnit::inch : LengthUnit::millimetre;
  const Rounded other = rounded(length_mm / mm_per(other_unit), sigma_mm / mm_per(other_unit),
                                decimals_in(other_unit, decimals_mm));
  return length_text(length_mm, sigma_mm, unit, decimals_mm) + " (" + other.value + " " +
         std::string(name_of(other_unit)) + ")";
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

bool is_far_away(double distance_mm, double sigma_mm) {
  constexpr double far_mm = 5000.0;
  return std::abs(distance_mm) > far_mm && sigma_mm > std::abs(distance_mm) / 3.0;
}

std::string move_words(double height_mm, double sigma_mm, LengthUnit unit) {
  if (!std::isfinite(height_mm)) return not_known;
  const Rounded move = rounded(height_mm / mm_per(unit), sigma_mm / mm_per(unit), decimals_in(unit, 1));
  if (is_zero(move.value) && move.sigma.empty()) return "stays where it is";
  return length_text(std::abs(height_mm), sigma_mm, unit, 1) + (height_mm > 0.0 ? " higher" : " lower");
}

std::string off_words(double above_wanted_mm, LengthUnit unit) {
  const std::string off = length_text(std::abs(above_wanted_mm), 0.0, unit, 1);
  if (is_zero(off)) return "on it";
  return off + (above_wanted_mm > 0.0 ? " too high" : " too low");
}

std::string lengths_in(std::string_view words, LengthUnit unit) {
  if (unit == LengthUnit::millimetre) return with_plain_spaces(words);
  // A number that starts a word, perhaps its uncertainty with or without a unit of its own, and the mark.
  static const std::regex length(
      "((?:^|[ (])(?:-|−)?)(\\d{1,9}(?:\\.(\\d{1,9}))?)(?:\u00A0mm)?(?: ± "
      "(\\d{1,9}(?:\\.\\d{1,9})?))?\u00A0mm(?![A-Za-z0-9])");
  const std::string text(words);
  std::string result;
  auto rest = text.cbegin();
  for (std::sregex_iterator match(text.begin(), text.end(), length), end; match != end; ++match) {
    const auto in_unit = [&](const std::string& number) {
      const int decimals_mm = static_cast<int>((*match)[3].length());
      const double value = std::stod(number) / mm_per(unit);
      return format_fixed(value, decimals_that_show(value, decimals_in(unit, decimals_mm)));
    };
    result.append(rest, (*match)[0].first).append((*match)[1]).append(in_unit((*match)[2]));
    if ((*match)[4].matched) result.append(plus_minus).append(in_unit((*match)[4]));
    result.append(" ").append(name_of(unit));
    rest = (*match)[0].second;
  }
  return with_plain_spaces(result.append(rest, text.cend()));
}

std::string spoken(std::string_view hardpoint_name) {
  std::string words(hardpoint_name);
  std::replace(words.begin(), words.end(), '_', ' ');
  return words;
}

std::string counted(std::size_t count, const std::string& noun) {
  return std::to_string(count) + " " + noun + (count == 1 ? "" : "s");
}

}  // namespace pivotfix::report
