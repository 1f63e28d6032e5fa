// SPDX-License-Identifier: Apache-2.0
#include "report/live.h"

#include <cmath>

#include "advice/toe_at.h"
#include "page/numbers.h"

namespace pivotfix::report {
namespace {

constexpr const char* degree = "\xC2\xB0";
constexpr const char* times = " \xC3\x97 ";

std::vector<std::string> column_of(const Rows& rows, std::size_t column) {
  std::vector<std::string> texts;
  for (const auto& row : rows) texts.push_back(column < row.size() ? with_minus(row[column]) : "");
  return texts;
}

}  // namespace

std::string live_name(const std::string& what, LengthUnit unit) {
  return what + "-" + std::string(name_of(unit));
}

std::vector<ToeColumn> page_toe_columns(const ReportInput& input, const Plan& plan,
                                        const std::string& plan_name) {
  const Advice& advice = input.advice;
  if (!input.exploration) return toe_columns(advice);
  std::vector<ToeColumn> columns{{"now", &advice.now, true}, {plan_name, &plan.curve, true}};
  if (advice.found) columns.push_back({"best height", &advice.best, false});
  if (known(advice.parallel_link)) columns.push_back({"parallel link", &advice.parallel_link, false});
  return columns;
}

Markup live_plan_name(const ReportInput& input) {
  const Plans plans = plans_of(input);
  const std::string& name = plans.plans[plans.suggested].name;
  return input.exploration ? live_words("span", "", live_name(live_plan, input.unit), name) : plain(name);
}

std::string choice_words(const ReportInput& input, const Plan& plan) {
  std::string words = "Rod end " + move_words(plan.height_change_mm, 0.0, input.unit);
  if (!plan.is_stack) return words;
  words += ": " + spacers_text(plan.stack.between, input.unit, times) + " between arm and rod end";
  if (!plan.stack.other_side.empty())
    words += ", " + spacers_text(plan.stack.other_side, input.unit, times) + " on the other side";
  return words;
}

std::string figures_words(const Plan& plan) {
  return "First inch of bump: " + toe_words(plan.curve.one_inch_change_rad, 0.0, 2) +
         ". Largest change: " + format_fixed(std::abs(deg_from_rad(plan.curve.largest_change_rad)), 2) +
         degree + ".";
}

std::string between_words(const ReportInput& input, const Plan& plan) {
  return "Blue adds up to " + length_in_both(input.advice.stack_now.between_mm, 0.0, input.unit, 2) +
         " now and " + length_in_both(plan.stack.between_mm, 0.0, input.unit, 2) + " after.";
}

std::vector<LiveColumn> live_columns(const ReportInput& input, const Plan& plan) {
  const Rows toe =
      toe_rows(page_toe_columns(input, plan, ""), input.unit, input.hardpoints.wheel.rim_diameter_mm);
  const auto name = [&](const char* what) { return live_name(what, input.unit); };
  // Columns of the toe table: travel; now in degrees and at the rim; the plan likewise.
  return {{name(live_plan), {plan.name}},
          {name(live_after), column_of(before_after_rows(input, plan), 2)},
          {name(live_toe), column_of(toe, 3)},
          {name(live_rim), column_of(toe, 4)},
          {name(live_choice), {choice_words(input, plan)}},
          {name(live_figures), {figures_words(plan)}},
          {name(live_between), {between_words(input, plan)}}};
}

}  // namespace pivotfix::report
