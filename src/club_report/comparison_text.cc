// SPDX-License-Identifier: Apache-2.0
#include "club_report/comparison.h"
#include "club_report/comparison_words.h"
#include "page/text_layout.h"

namespace pivotfix {
namespace report {
namespace {

std::string table_text(const std::string& caption, const std::vector<std::string>& heads, const Rows& rows) {
  if (rows.empty()) return {};
  Rows all{heads};
  all.insert(all.end(), rows.begin(), rows.end());
  return "\n" + caption + "\n" + aligned(all, true);
}

// In two halves: side by side they would not fit the terminal.
std::string shift_tables(const ComparisonReport& input) {
  const std::string caption = "Shift of each pivot (x forward, y left, z up)";
  const auto heads = shift_heads(input);
  const Rows rows = shift_rows(input);
  if (!input.comparison.judged) return table_text(caption, heads, rows);
  const auto half = [&](const std::string& above, const std::vector<std::size_t>& columns) {
    return table_text(above, only_columns({heads}, columns).front(), only_columns(rows, columns));
  };
  return half(caption, {0, 1, 2, 3}) +
         half(input.comparison.mirrored ? "Which pivots differ" : "Which pivots moved", {0, 4, 5, 6, 7}) +
         wrapped(
             "\xC2\xB1 is one standard uncertainty; by chance: so much when this pivot has not moved; "
             "of all: when none has.",
             "  ");
}

}  // namespace
}  // namespace report

std::string compare_text(const ComparisonReport& input) {
  using namespace report;
  std::string text = wrapped(input.before_name + ", then " + input.after_name, "") + "\n";
  for (const std::string& sentence : comparison_sentences(input)) text += wrapped(sentence, "");
  text += shift_tables(input);
  text += table_text(input.comparison.mirrored ? "What that does" : "What that did",
                     change_heads(input.comparison), angle_rows(input));
  text += table_text("Change from ride height, degrees (toe-in and top outwards positive)",
                     travel_heads(input), travel_rows(input));
  text += "\nHow it was compared\n";
  for (const std::string& line : comparison_method(input)) text += wrapped(line, "  - ");
  return text;
}

}  // namespace pivotfix
