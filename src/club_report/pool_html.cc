// SPDX-License-Identifier: Apache-2.0
#include "club_report/pool_words.h"
#include "page/cautions.h"
#include "page/each_unit.h"
#include "page/key.h"
#include "page/numbers.h"
#include "page/page.h"

namespace pivotfix {
namespace report {
namespace {

PoolReport shown_in(PoolReport input, LengthUnit unit) {
  input.unit = unit;
  return input;
}

Markup answer(const PoolReport& input) {
  return in_each_unit([&](LengthUnit unit) {
    Markup words;
    for (const std::string& sentence : pool_sentences(shown_in(input, unit)))
      words += paragraph(with_minus(sentence), words.empty() ? "first" : "");
    return element("div", {{"class", "answer"}}, words);
  });
}

Markup means(const PoolReport& input) {
  return in_each_unit([&](LengthUnit unit) {
    std::vector<Column> columns;
    for (const std::string& head : pooled_heads(unit)) columns.push_back({head, ColumnKind::number});
    columns.front().kind = columns.back().kind = ColumnKind::text;
    return table("Mean of each pivot: x forward, y to the left, z up, \xC2\xB1 one standard uncertainty",
                 columns, pooled_rows(shown_in(input, unit)));
  });
}

Markup cars(const PoolReport& input) {
  std::vector<Column> columns;
  for (const std::string& head : car_heads()) columns.push_back({head});
  return table("What it was made from", columns, car_rows(input));
}

Markup picture_section(const PoolReport& input) {
  std::vector<KeyEntry> entries{{"car", "a car, \xC2\xB1 one standard uncertainty of its measurement"}};
  if (!input.pool.odd.empty()) entries.push_back({"car-odd", "an odd car"});
  const std::string text =
      "Shaded: one standard deviation from car to car. In each box the cars stand in the order of the table "
      "of "
      "cars.";
  return element(
      "section", {{"class", "sheet"}},
      element("h2", "How the cars differ") +
          figure("Every car's pivots about the mean", pool_picture(input), key(entries) + caption(text)));
}

}  // namespace
}  // namespace report

std::string pool_html(const PoolReport& input) {
  using namespace report;
  const HardpointSet& set = input.pool.result;
  PageContent content;
  content.title = "Pool of cars";
  content.unit = input.unit;
  const Markup head = element(
      "header", element("h1", set.title) +
                    paragraph(counted(input.pool.members.size(), "car") + ", " +
                                  std::string(name_of(set.side)) + " front corner, " + words_of(set.layout),
                              "sub") +
                    unit_switch(input.unit));
  const Markup method =
      in_each_unit([&](LengthUnit unit) { return bullets(pool_method_words(shown_in(input, unit))); });
  content.body =
      head + element("section", answer(input)) + picture_section(input) +
      element("section", {{"class", "numbers"}}, element("h2", "Numbers") + means(input) + cars(input)) +
      element("section", element("h2", "How it was pooled") + method) + cautions_section() +
      element("footer", paragraph("Made by pivotfix " + input.program_version + "."));
  return page_html(content);
}

}  // namespace pivotfix
