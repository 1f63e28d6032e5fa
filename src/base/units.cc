// SPDX-License-Identifier: Apache-2.0
#include "base/units.h"

#include <array>
#include <charconv>
#include <cmath>

#include "base/problem.h"

namespace pivotfix {

namespace {

struct Unit {
  std::string_view name;
  double factor;
};

constexpr std::array<Unit, 9> length_units{{{"mm", 1.0},
                                            {"cm", 10.0},
                                            {"m", 1000.0},
                                            {"in", mm_per_inch},
                                            {"inch", mm_per_inch},
                                            {"inches", mm_per_inch},
                                            {"\"", mm_per_inch},
                                            {"thou", mm_per_inch / 1000.0},
                                            {"um", 0.001}}};

constexpr std::array<Unit, 6> angle_units{{{"deg", rad_per_deg},
                                           {"degrees", rad_per_deg},
                                           {"min", rad_per_deg / 60.0},
                                           {"mrad", 0.001},
                                           {"rad", 1.0},
                                           {"°", rad_per_deg}}};

std::string_view trimmed(std::string_view text) {
  constexpr std::string_view blank = " \t\r\n";
  const auto first = text.find_first_not_of(blank);
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(blank) - first + 1);
}

template <std::size_t n>
double parse_quantity(std::string_view text, const std::array<Unit, n>& units, double bare_factor,
                      const char* noun, const char* example) {
  const auto fail = [&](const std::string& why) -> double {
    throw Problem(ProblemKind::input, "\"" + std::string(text) + "\" is not " + noun + ": " + why + ".",
                  std::string("Write it like ") + example + ".");
  };
  std::string_view rest = trimmed(text);
  if (rest.starts_with('+')) rest.remove_prefix(1);
  double number = 0.0;
  const auto parsed = std::from_chars(rest.data(), rest.data() + rest.size(), number);
  if (parsed.ec != std::errc{}) return fail("it does not start with a number");
  if (!std::isfinite(number)) return fail("the number is not finite");
  const std::string_view unit_name = trimmed(rest.substr(static_cast<std::size_t>(parsed.ptr - rest.data())));
  const auto finite = [&](double quantity) {
    return std::isfinite(quantity) ? quantity : fail("the number is not finite");
  };
  if (unit_name.empty()) return finite(number * bare_factor);
  for (const Unit& unit : units)
    if (unit.name == unit_name) return finite(number * unit.factor);
  return fail("unknown unit \"" + std::string(unit_name) + "\"");
}

}  // namespace

double parse_length_mm(std::string_view text, LengthUnit bare_unit) {
  return parse_quantity(text, length_units, mm_per(bare_unit), "a length", "\"25.4 mm\" or \"0.200 in\"");
}

double parse_angle_rad(std::string_view text) {
  return parse_quantity(text, angle_units, rad_per_deg, "an angle", "\"0.1 deg\" or \"6 min\"");
}

std::string length_as_written(std::string_view text, LengthUnit bare_unit) {
  std::string written(trimmed(text));
  for (char& c : written)
    if (c == '\t' || c == '\r' || c == '\n') c = ' ';
  std::string_view digits = written;
  if (digits.starts_with('+')) digits.remove_prefix(1);
  const char* end = digits.data() + digits.size();
  double number = 0.0;
  const auto parsed = std::from_chars(digits.data(), end, number);
  const bool bare = parsed.ec == std::errc{} && parsed.ptr == end;
  return bare ? written + (bare_unit == LengthUnit::inch ? " in" : " mm") : written;
}

std::string format_fixed(double value, int decimals) {
  std::array<char, 400> buffer{};
  const auto end =
      std::to_chars(buffer.data(), buffer.data() + buffer.size(), value, std::chars_format::fixed, decimals);
  std::string text(buffer.data(), end.ptr);
  if (text.starts_with('-') && text.find_first_of("123456789") == std::string::npos &&
      text.find('n') == std::string::npos)
    text.erase(0, 1);
  return text;
}

int decimals_that_show(double value, int decimals) {
  constexpr int most_more = 2;
  for (int more = 0; more <= most_more; ++more)
    if (format_fixed(value, decimals + more).find_first_of("123456789") != std::string::npos)
      return decimals + more;
  return decimals;
}

std::string format_length(double length_mm, LengthUnit unit, int decimals) {
  return format_fixed(length_mm / mm_per(unit), decimals) + " " + std::string(name_of(unit));
}

}  // namespace pivotfix
