// SPDX-License-Identifier: Apache-2.0
#include <cmath>

#include "report/advice_tables.h"
#include "report/figures_section.h"
#include "report/markup.h"
#include "report/next_shots.h"
#include "report/numbers.h"
#include "report/page_style.h"
#include "report/photographs.h"
#include "report/pictures.h"
#include "report/report.h"
#include "report/tables.h"

namespace pivotfix {
namespace report {
namespace {

struct KeyEntry {
  std::string css_class{};
  std::string text{};
};

// A sample of each line with its meaning; the samples say nothing to those who listen to the page.
Markup key(const std::vector<KeyEntry>& entries) {
  Markup items;
  for (const KeyEntry& entry : entries) {
    const Markup sample = element(
        "svg", {{"viewBox", "0 0 42 12"}, {"aria-hidden", "true"}},
        element("line", {{"class", entry.css_class}, {"x1", "0"}, {"y1", "6"}, {"x2", "42"}, {"y2", "6"}},
                Markup()));
    items += element("li", sample + plain(entry.text)) + Markup::trusted("\n");
  }
  return element("ul", {{"class", "key"}}, items) + Markup::trusted("\n");
}

Markup head_section(const ReportInput& input) {
  const HardpointSet& set = input.hardpoints;
  const std::string title = input.title.empty() ? set.title : input.title;
  return element("header", element("h1", title.empty() ? "Bump steer report" : title) +
                               paragraph("Bump steer, " + std::string(name_of(set.side)) + " front corner, " +
                                             words_of(set.layout),
                                         "sub"));
}

Markup answer_words(const Advice& advice) {
  Markup words;
  for (std::size_t i = 0; i < advice.sentences.size(); ++i)
    words += paragraph(advice.sentences[i], i == 0 ? "first" : "");
  if (words.empty()) words = paragraph("No advice could be given; see the numbers below.", "first");
  return element("div", {{"class", "answer"}}, words) + Markup::trusted("\n");
}

// Signs in columns of words.
Rows with_minus_signs(Rows rows) {
  for (auto& row : rows)
    for (std::string& cell : row) cell = with_minus(cell);
  return rows;
}

std::string stack_caption(const ReportInput& input) {
  std::string text =
      "Spacers to scale; steering arm, rod end and nut are sketched. Blue: between steering arm and rod end. "
      "Yellow: on the other side of the rod end.";
  if (input.advice.stacks.empty()) return text;
  const double now_mm = stack_now_of(input).between_mm;
  return text + " Blue adds up to " + length_in_both(now_mm, 0.0, input.unit, 2) + " now and " +
         length_in_both(input.advice.stacks.front().between_mm, 0.0, input.unit, 2) + " after.";
}

Markup answer_section(const ReportInput& input) {
  Markup left = answer_words(input.advice);
  left +=
      table("", {{""}, {"now"}, {plan_of(input.advice).name}}, with_minus_signs(before_after_rows(input)));
  left += paragraph(how_sure(input), "note");
  const Markup stack = stack_picture(input);
  const Markup right = stack.empty()
                           ? paragraph("No spacers were named, so no stack is drawn.", "note")
                           : figure("The stack, top to bottom", stack, caption(stack_caption(input)));
  Markup section = pair(left, right);
  section +=
      element("p", {{"class", "caution"}},
              element("b", "Caution. ") + plain(std::string(short_caution) + " See the end of this report."));
  if (const auto limits = limits_of(input); !limits.empty())
    section +=
        element("div", {{"class", "warnings"}}, element("b", "What limits this answer") + bullets(limits));
  return element("section", section);
}

std::vector<KeyEntry> toe_key(const Advice& advice) {
  const Plan plan = plan_of(advice);
  std::vector<KeyEntry> entries{{"now", "now"}, {"after", plan.name}};
  if (plan.is_stack) entries.push_back({"best", "best height"});
  entries.push_back({"rule", "rule of thumb: link parallel to the arm"});
  return entries;
}

Markup toe_notes(const Advice& advice) {
  std::string text;
  if (advice.now.toe_change_sigma_rad.size() == advice.now.travel_mm.size() &&
      advice.best_height_change_mm.sigma > 0.0)
    text = "Shaded: \xC2\xB1 one standard uncertainty. ";
  text += "A curve that stands upright on the middle line is free of bump steer.";
  const ToeCurve after = plan_of(advice).curve;
  if (!advice.now.ended_early.empty()) text += " The curve ends early: " + advice.now.ended_early;
  if (!after.ended_early.empty()) text += " After the change it ends early: " + after.ended_early;
  return caption(text);
}

Markup pictures_section(const ReportInput& input) {
  const Advice& advice = input.advice;
  const bool parallel = advice.front_view.arms_parallel;
  const Markup front = figure(
      "The corner at ride height", front_view_picture(input),
      key({{"now", "steering link now"},
           {"after", "link " + plan_of(advice).name},
           {"centre-line", parallel ? "along the arms" : "from rod end to instant centre"}}) +
          caption(
              "Drawn to scale; the wheel is sketched. The wheel swings about the instant centre. A link that "
              "points at it does not steer the wheel in the first bit of travel."));
  const Markup angles =
      figure("How far link and arm are out of step", angle_picture(input),
             caption("Mismatch, link minus lower arm: " + with_minus(angle_text(advice.mismatch_rad, 2)) +
                     ". Effective mismatch, link minus the line to the instant centre: " +
                     with_minus(angle_text(advice.effective_mismatch_rad, 2)) +
                     ". The effective one is what steers."));
  const Markup toe =
      figure("Toe change over wheel travel", toe_picture(input), key(toe_key(advice)) + toe_notes(advice));
  const Markup geometry =
      table("In numbers, at ride height", {{""}, {"", ColumnKind::number}}, geometry_rows(input));
  return element("section", {{"class", "sheet"}},
                 element("h2", "What the wheel does") + pair(toe, geometry) +
                     (front.empty() ? Markup() : element("h2", "Why it does so") + pair(front, angles)));
}

Markup toe_table(const ReportInput& input) {
  const Advice& advice = input.advice;
  if (advice.now.travel_mm.empty()) return {};
  const std::vector<ToeColumn> columns = toe_columns(advice);
  std::vector<Column> heads{
      {input.unit == LengthUnit::inch ? "travel, in" : "travel, mm", ColumnKind::number}};
  for (const ToeColumn& column : columns) {
    heads.push_back({column.head + ",\ndegrees", ColumnKind::number});
    if (column.with_sigma) heads.push_back({column.head + ",\nmm at rim", ColumnKind::number});
  }
  return table("Toe change from ride height, one wheel (toe-in positive)", heads,
               toe_rows(columns, input.unit, input.hardpoints.wheel.rim_diameter_mm));
}

Markup hardpoint_table(const ReportInput& input) {
  if (input.hardpoints.points.empty()) return {};
  const std::string unit = input.unit == LengthUnit::inch ? "in" : "mm";
  Markup section = table("Hardpoints, " + unit + " (x forward, y to the left, z up from the ground)",
                         {{"point"},
                          {"x", ColumnKind::number},
                          {"y", ColumnKind::number},
                          {"z", ColumnKind::number},
                          {"how it was found"}},
                         hardpoint_rows(input.hardpoints, input.unit));
  if (!has_uncertainties(input.hardpoints))
    section += paragraph("These points came without uncertainties.", "note");
  return section;
}

Markup table_unless_empty(const std::string& caption_text, const std::vector<Column>& columns,
                          const Rows& rows) {
  return rows.empty() ? Markup() : table(caption_text, columns, with_minus_signs(rows));
}

Markup advice_tables(const ReportInput& input) {
  Markup tables = table_unless_empty(
      "Rod-end heights by what \"flat\" means",
      {{"aim"}, {"rod end"}, {"link"}, {"largest toe change"}, {"first inch of bump"}}, height_rows(input));
  tables += table_unless_empty(
      "Ways of driving: largest toe change",
      {{"driving"}, {"travel"}, {"now"}, {"after"}, {"at its own best"}, {"own best height"}},
      driving_rows(input));
  tables += table_unless_empty("Tilt of the rod end over the travel", {{""}, {"largest"}}, tilt_rows(input));
  tables += table_unless_empty("Where the doubt about the best height comes from",
                               {{"coordinate"},
                                {"its uncertainty"},
                                {"mm of height for each mm", ColumnKind::number},
                                {"share", ColumnKind::number}},
                               share_rows(input, 8));
  tables += table_unless_empty("Toe change as read on the rack, degrees",
                               {{"travel", ColumnKind::number},
                                {"as read", ColumnKind::number},
                                {"from the hardpoints", ColumnKind::number},
                                {"from both", ColumnKind::number}},
                               reading_rows(input));
  if (input.advice.verification) tables += paragraph(reading_summary(input.advice), "note");
  return tables;
}

std::vector<Column> what_if_toe_heads(const ReportInput& input) {
  std::vector<Column> heads{
      {input.unit == LengthUnit::inch ? "travel, in" : "travel, mm", ColumnKind::number},
      {"as it is", ColumnKind::number}};
  for (const WhatIf& one : input.what_ifs) heads.push_back({one.words, ColumnKind::number});
  return heads;
}

Markup what_if_section(const ReportInput& input) {
  if (input.what_ifs.empty() && !input.sweep) return {};
  Markup section = element("h2", "What if");
  section += table_unless_empty("The same question about a changed car",
                                {{"change"},
                                 {"mismatch"},
                                 {"effective mismatch"},
                                 {"slope per inch"},
                                 {"largest toe change"},
                                 {"best rod end"},
                                 {"spacers between"}},
                                what_if_rows(input));
  section += table_unless_empty(what_if_toe_caption, what_if_toe_heads(input), what_if_toe_rows(input));
  if (input.sweep)
    section += figure("Two changes together", contour_picture(*input.sweep, input.unit),
                      caption("The dot is the car as it is. Along a line the value stays the same."));
  return element("section", section);
}

Markup numbers_section(const ReportInput& input) {
  Markup stacks;
  if (input.advice.stacks.size() > 1)
    stacks = table("The best stacks from your spacers",
                   {{"between arm and rod end"},
                    {"other side"},
                    {"rod end"},
                    {"off the best"},
                    {"largest toe change"},
                    {"first inch of bump"},
                    {"thread beyond the nut"}},
                   stack_rows(input.advice, input.unit, 5));
  return element("section", element("h2", "Numbers") + stacks + toe_table(input) + advice_tables(input) +
                                hardpoint_table(input));
}

}  // namespace
}  // namespace report

std::string report_html(const ReportInput& input) {
  using namespace report;
  const std::string title = input.title.empty() ? "Bump steer report" : input.title;
  const Markup head =
      element("meta", {{"charset", "utf-8"}}, Markup()) +
      element("meta", {{"name", "viewport"}, {"content", "width=device-width, initial-scale=1"}}, Markup()) +
      element("title", title) + element("style", Markup::trusted(page_style));
  Markup body = head_section(input) + answer_section(input) + pictures_section(input) +
                what_if_section(input) + numbers_section(input) + figures_section(input);
  if (input.next_shots)
    body +=
        element("section", element("h2", "Where to stand for the next photo") + next_shots_section(input));
  if (input.network)
    body += element("section", element("h2", "What was photographed, and how well") +
                                   photographs_section(*input.network, input.unit));
  body += element("section", element("h2", "Cautions") + bullets(cautions()));
  body += element("footer", paragraph("Made by pivotfix " + input.program_version +
                                      ". Angles in degrees; toe-in positive; camber positive with the top "
                                      "outwards; travel of the wheel's centre from ride height."));
  const Markup page = element("html", {{"lang", "en"}},
                              element("head", head) + Markup::trusted("\n") + element("body", body));
  return "<!DOCTYPE html>\n" + page.str() + "\n";
}

}  // namespace pivotfix
