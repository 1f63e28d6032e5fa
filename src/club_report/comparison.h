// SPDX-License-Identifier: Apache-2.0
// What a person or a program sees of two measurements beside each other.
#pragma once

#include <string>

#include "base/units.h"
#include "compare/compare.h"

namespace pivotfix {

struct ComparisonReport {
  Comparison comparison{};
  std::string before_name{};  // file or title, for people
  std::string after_name{};
  std::string program_version{};
  LengthUnit unit = LengthUnit::millimetre;
};

// Answer first; for the terminal.
std::string compare_text(const ComparisonReport& input);
// One file without any outside reference, of the same look as report_html.
std::string compare_html(const ComparisonReport& input);
// For programs; docs/compare-and-pool.md has the fields.
std::string compare_json(const ComparisonReport& input);

}  // namespace pivotfix
