// SPDX-License-Identifier: Apache-2.0
// Simulated jobs with something wrong in them, drawn at random, from photos' sightings to the spacer's
// height; the truth is known, so a wrong answer that nothing warns of shows.
#pragma once

#include <map>
#include <string>
#include <vector>

namespace pivotfix::degraded {

enum class End { refused, warned, plain };

struct Result {
  std::vector<std::string> degradations{};  // in words
  End end = End::plain;
  std::string says{};  // the refusal, or the first warning
  double height_error_mm = 0.0;
  double height_sigma_mm = 0.0;
  bool wrong() const { return end != End::refused && !(height_error_mm <= 3.0 * height_sigma_mm); }
  bool missed() const { return wrong() && end == End::plain; }
};

// The same number makes the same job; number 0 is a good one.
Result run_job(unsigned number);

// By degradation, as a Markdown table, with the misses below it.
std::string table_of(const std::vector<Result>& results);

}  // namespace pivotfix::degraded
