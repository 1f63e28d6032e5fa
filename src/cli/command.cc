// SPDX-License-Identifier: Apache-2.0
#include "cli/command.h"

#include <algorithm>
#include <filesystem>

namespace pivotfix {
namespace {

std::string in_lower_case(std::string text) {
  std::transform(text.begin(), text.end(), text.begin(),
                 [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; });
  return text;
}

}  // namespace

double length_option_mm(const std::string& option, const std::string& text, LengthUnit bare_unit) {
  return from_option(option, [&] { return parse_length_mm(text, bare_unit); });
}

double positive_option_mm(const std::string& option, const std::string& text, LengthUnit bare_unit) {
  const double length_mm = length_option_mm(option, text, bare_unit);
  if (!(length_mm > 0.0))
    throw Problem(ProblemKind::usage, option + ": the length must be more than zero.", "");
  return length_mm;
}

double angle_option_rad(const std::string& option, const std::string& text) {
  return from_option(option, [&] { return parse_angle_rad(text); });
}

void check_may_write(const std::string& file, bool force) {
  if (force) return;
  std::error_code error;
  const auto status = std::filesystem::symlink_status(file, error);
  if (status.type() == std::filesystem::file_type::none)  // not even whether it is there
    throw Problem(ProblemKind::input, "Cannot look at the file: " + error.message() + ".",
                  "Choose another name.", Place{file});
  if (std::filesystem::exists(status))
    throw Problem(ProblemKind::usage, "\"" + file + "\" exists already.",
                  "Choose another name, or say --force to replace it.");
}

std::string shell_word(const std::string& name) {
  constexpr std::string_view plain = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789._/-";
  if (!name.empty() && name.find_first_not_of(plain) == std::string::npos) return name;
  std::string word = "'";
  for (const char c : name) word += c == '\'' ? std::string("'\\''") : std::string(1, c);
  return word + "'";
}

std::string steer_command_for(const std::string& hardpoint_file, LengthUnit unit) {
  return "pivotfix steer " + shell_word(hardpoint_file) + (unit == LengthUnit::inch ? " --units in" : "");
}

LengthUnit unit_option(const std::string& text) {
  const std::string name = in_lower_case(text);
  if (name == "mm") return LengthUnit::millimetre;
  if (name == "in") return LengthUnit::inch;
  throw Problem(ProblemKind::usage, "--units: \"" + text + "\" is no unit.", "Known are mm and in.");
}

Paper paper_option(const std::string& text) {
  const std::string name = in_lower_case(text);
  if (name == "a4") return Paper::a4;
  if (name == "letter") return Paper::letter;
  throw Problem(ProblemKind::usage, "--paper: \"" + text + "\" is no paper.", "Known are a4 and letter.");
}

}  // namespace pivotfix
