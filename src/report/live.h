// SPDX-License-Identifier: Apache-2.0
// What follows the page's slider in words and numbers. The program works every text out ahead, with the
// functions that the terminal's answer is made with; the page only puts them in place.
#pragma once

#include <string>
#include <vector>

#include "report/pictures.h"
#include "report/tables.h"

namespace pivotfix::report {

// A column of texts that a plan gives; `name` is "after-mm" and the like, in the page's data and in the
// attribute data-live of the cells.
struct LiveColumn {
  std::string name{};
  std::vector<std::string> texts{};
};

// All columns for one plan, in the input's unit.
std::vector<LiveColumn> live_columns(const ReportInput& input, const Plan& plan);

// Names, with the input's unit.
std::string live_name(const std::string& what, LengthUnit unit);
inline constexpr const char* live_after = "after";      // before_after_rows
inline constexpr const char* live_plan = "plan";        // what the plan is called, alone
inline constexpr const char* live_toe = "toe";          // toe table, degrees
inline constexpr const char* live_rim = "rim";          // toe table, mm at the rim
inline constexpr const char* live_choice = "choice";    // what the slider stands at
inline constexpr const char* live_figures = "figures";  // and what that gives
inline constexpr const char* live_between = "between";  // what the spacers between add up to

// Columns of the page's toe table: with an exploration one of them is the slider's.
std::vector<ToeColumn> page_toe_columns(const ReportInput& input, const Plan& plan,
                                        const std::string& plan_name);

// The suggested plan's name, which follows the slider where there is one: "at the best height".
Markup live_plan_name(const ReportInput& input);

// "Rod end 8.6 mm lower: 2 x 0.200 in between arm and rod end, 1 x 0.060 in on the other side"
std::string choice_words(const ReportInput& input, const Plan& plan);
// "First inch of bump 0.02° toe-in, largest change 0.05°"
std::string figures_words(const Plan& plan);
// "Blue adds up to 8.13 mm (0.320 in) now and 16.76 mm (0.660 in) after."
std::string between_words(const ReportInput& input, const Plan& plan);

}  // namespace pivotfix::report
