// SPDX-License-Identifier: Apache-2.0
#include "page/each_unit.h"
#include "report/advice_tables.h"
#include "report/live.h"
#include "report/pictures.h"
#include "report/sections.h"
#include "report/tables.h"

namespace pivotfix::report {
namespace {

Markup toe_table(const ReportInput& input) {
  if (input.advice.now.travel_mm.empty()) return {};
  const Plans plans = plans_of(input);
  const Plan& plan = plans.plans[plans.suggested];
  const std::vector<ToeColumn> columns =
      page_toe_columns(input, plan, plan.is_stack ? "chosen stack" : "chosen height");
  std::vector<Column> heads{{travel_head(input.unit), ColumnKind::number}};
  for (const ToeColumn& column : columns) {
    const bool live = input.exploration && column.curve == &plan.curve;
    heads.push_back(
        {column.head + ",\ndegrees", ColumnKind::number, live ? live_name(live_toe, input.unit) : ""});
    if (column.with_sigma)
      heads.push_back(
          {column.head + ",\nmm at rim", ColumnKind::number, live ? live_name(live_rim, input.unit) : ""});
  }
  return table("Toe change from ride height, one wheel (toe-in positive)", heads,
               toe_rows(columns, input.unit, input.hardpoints.wheel.rim_diameter_mm));
}

Markup hardpoint_table(const ReportInput& input) {
  if (input.hardpoints.points.empty()) return {};
  Markup section = table(
      "Hardpoints, " + std::string(name_of(input.unit)) + " (x forward, y to the left, z up from the ground)",
      {{"point"},
       {"x", ColumnKind::number},
       {"y", ColumnKind::number},
       {"z", ColumnKind::number},
       {"how it was found"}},
      hardpoint_rows(input.hardpoints, input.unit));
  if (!has_uncertainties(input.hardpoints))
    section += paragraph("These points came without uncertainties.", "note");
  if (input.advice.verification && input.advice.verification->refined)
    section += paragraph("As measured; the answer uses them with the toe readings worked in.", "note");
  return section;
}

Markup stack_table(const ReportInput& input) {
  if (input.advice.stacks.size() < 2) return {};
  return table("The best stacks from your spacers",
               {{"between arm and rod end"},
                {"other side"},
                {"rod end"},
                {"against the best height"},
                {"largest toe change"},
                {"first inch of bump"},
                {"thread beyond the nut"}},
               stack_rows(input.advice, input.unit, 5));
}

Markup advice_tables(const ReportInput& input) {
  Markup tables = table_unless_empty(
      "Rod-end heights by what \"flat\" means",
      {{"aim"}, {"rod end"}, {"link"}, {"largest toe change"}, {"first inch of bump"}}, height_rows(input));
  tables += table_unless_empty(
      "Ways of driving: largest toe change",
      {{"driving"}, {"travel"}, {"now"}, {"as suggested"}, {"at its own best"}, {"own best height"}},
      driving_rows(input));
  tables += table_unless_empty("Tilt of the rod end over the travel", {{""}, {"largest"}}, tilt_rows(input));
  tables += table_unless_empty("Where the doubt about the best height comes from",
                               {{"coordinate"},
                                {"its uncertainty"},
                                {"mm of height for each mm", ColumnKind::number},
                                {"share", ColumnKind::number}},
                               share_rows(input, 8));
  tables += table_unless_empty("Toe change as read, degrees",
                               {{"travel", ColumnKind::number},
                                {"as read", ColumnKind::number},
                                {"from the hardpoints", ColumnKind::number},
                                {"from both", ColumnKind::number}},
                               reading_rows(input));
  if (input.advice.verification) tables += paragraph(reading_summary(input.advice), "note");
  return tables;
}

std::vector<Column> what_if_toe_heads(const ReportInput& input) {
  std::vector<Column> heads{{travel_head(input.unit), ColumnKind::number}, {"as it is", ColumnKind::number}};
  for (const WhatIf& one : input.what_ifs) heads.push_back({one.words, ColumnKind::number});
  return heads;
}

Markup what_if_tables(const ReportInput& input) {
  return table_unless_empty("The same question about a changed car",
                            {{"change"},
                             {"mismatch"},
                             {"effective mismatch"},
                             {"slope per inch"},
                             {"largest toe change"},
                             {"best rod end"},
                             {"spacers between"}},
                            what_if_rows(input)) +
         table_unless_empty(what_if_toe_caption, what_if_toe_heads(input), what_if_toe_rows(input));
}

}  // namespace

Markup what_if_section(const ReportInput& input) {
  if (input.what_ifs.empty() && !input.sweep) return {};
  Markup section = element("h2", "What if") + in_each_unit(input, what_if_tables);
  if (input.sweep)
    section += figure("Two changes together", contour_picture(*input.sweep),
                      caption("The dot is the car as it is. Along a line the value stays the same."));
  return element("section", section);
}

Markup numbers_section(const ReportInput& input) {
  return element("section", {{"class", "numbers"}},
                 element("h2", "Numbers") + in_each_unit(input, [](const ReportInput& shown) {
                   return stack_table(shown) + toe_table(shown) + advice_tables(shown) +
                          hardpoint_table(shown);
                 }));
}

}  // namespace pivotfix::report
