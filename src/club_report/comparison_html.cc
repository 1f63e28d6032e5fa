// SPDX-License-Identifier: Apache-2.0
#include "club_report/comparison.h"
#include "club_report/comparison_pictures.h"
#include "club_report/comparison_words.h"
#include "page/cautions.h"
#include "page/each_unit.h"
#include "page/key.h"
#include "page/numbers.h"
#include "page/page.h"

namespace pivotfix {
namespace report {
namespace {

ComparisonReport shown_in(ComparisonReport input, LengthUnit unit) {
  input.unit = unit;
  return input;
}

Markup head_section(const ComparisonReport& input) {
  const HardpointSet& set = input.comparison.before;
  const std::string what = input.comparison.mirrored
                               ? "Left and right front corner, "
                               : "Two measurements, " + std::string(name_of(set.side)) + " front corner, ";
  return element("header", element("h1", input.before_name + ", then " + input.after_name) +
                               paragraph(what + words_of(set.layout), "sub") + unit_switch(input.unit));
}

Markup answer(const ComparisonReport& input) {
  return in_each_unit([&](LengthUnit unit) {
    Markup words;
    for (const std::string& sentence : comparison_sentences(shown_in(input, unit)))
      words += paragraph(with_minus(sentence), words.empty() ? "first" : "");
    return element("div", {{"class", "answer"}}, words);
  });
}

std::string shifts_caption(const Comparison& comparison) {
  std::string text = "Arrows are the shifts, drawn " + format_fixed(shift_enlargement(comparison), 0) +
                     " times as large as they are.";
  if (comparison.judged)
    text += " An arrow that stays inside its ellipse is no more than chance alone gives 95 times out of 100.";
  if (comparison.touched_only) text += " Pivots without an ellipse were held fixed.";
  return text;
}

Markup shifts_section(const ComparisonReport& input) {
  const bool sides = input.comparison.mirrored;
  std::vector<KeyEntry> entries;
  if (input.comparison.judged)
    entries = {{"shift-sure", sides ? "differs" : "moved"}, {"shift-perhaps", "perhaps"}};
  entries.push_back({"shift-none", input.comparison.judged ? "chance explains it" : "shift"});
  const Markup others =
      element("div", {{"class", "small-pair"}},
              figure("From the side", shifts_picture(input, Seen::from_the_side), Markup()) +
                  figure("From above", shifts_picture(input, Seen::from_above), Markup()));
  return element("section", {{"class", "sheet"}},
                 element("h2", sides ? "Where the sides differ" : "Where the pivots moved") +
                     pair(figure("From ahead", shifts_picture(input, Seen::from_ahead),
                                 key(entries) + caption(shifts_caption(input.comparison))),
                          others));
}

Markup movement(const ComparisonReport& input) {
  if (!input.comparison.corner) return {};
  const ToeCurve& after = input.comparison.corner->toe_after;
  std::string notes;
  if (input.comparison.corner->one_inch_toe_rad.change.sigma > 0.0)
    notes = "Shaded: \xC2\xB1 one standard uncertainty. ";
  if (!after.ended_early.empty()) notes += "The second curve ends early: " + after.ended_early;
  const Markup lines =
      key({{"now", first_word(input.comparison)}, {"after", second_word(input.comparison)}}) +
      element("figcaption", lengths_in_each_unit(notes));
  return element("section", {{"class", "sheet"}},
                 element("h2", "What the wheel does") +
                     pair(figure("Toe change over wheel travel", toe_change_picture(input), lines),
                          figure("Camber change over wheel travel", camber_change_picture(input), lines)));
}

std::vector<Column> columns_of(const std::vector<std::string>& heads, ColumnKind kind) {
  std::vector<Column> columns;
  for (const std::string& head : heads) columns.push_back({head, kind});
  columns.front().kind = ColumnKind::text;
  return columns;
}

Markup numbers(const ComparisonReport& input) {
  return in_each_unit([&](LengthUnit unit) {
    const ComparisonReport shown = shown_in(input, unit);
    std::vector<Column> shift_columns = columns_of(shift_heads(shown), ColumnKind::number);
    if (input.comparison.judged) shift_columns.back().kind = ColumnKind::text;
    return table(
               "Shift of each pivot, second against first: x forward, y to the left, z up, \xC2\xB1 one "
               "standard uncertainty",
               shift_columns, shift_rows(shown)) +
           table_unless_empty(
               "The corner at ride height (mismatch: link minus arm; effective: link minus the "
               "line to the instant centre)",
               columns_of(change_heads(input.comparison), ColumnKind::text), change_rows(shown)) +
           table_unless_empty("Change from ride height, degrees (toe-in and top outwards positive)",
                              columns_of(travel_heads(shown), ColumnKind::number), travel_rows(shown));
  });
}

Markup method(const ComparisonReport& input) {
  return in_each_unit([&](LengthUnit unit) { return bullets(comparison_method(shown_in(input, unit))); });
}

}  // namespace
}  // namespace report

std::string compare_html(const ComparisonReport& input) {
  using namespace report;
  PageContent content;
  content.title = input.comparison.mirrored ? "Left and right" : "Before and after";
  content.unit = input.unit;
  content.body =
      head_section(input) + element("section", answer(input)) + shifts_section(input) + movement(input) +
      element("section", {{"class", "numbers"}}, element("h2", "Numbers") + numbers(input)) +
      element("section", element("h2", "How it was compared") + method(input)) + cautions_section() +
      element("footer", paragraph("Made by pivotfix " + input.program_version +
                                  ". Geometry only: no give, play or wear. Angles in degrees; toe-in "
                                  "positive; camber positive with the top outwards."));
  return page_html(content);
}

}  // namespace pivotfix
