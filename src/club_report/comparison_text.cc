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

}  // namespace
}  // namespace report

std::string compare_text(const ComparisonReport& input) {
  using namespace report;
  std::string text = wrapped(input.before_name + ", then " + input.after_name, "") + "\n";
  for (const std::string& sentence : comparison_sentences(input)) text += wrapped(sentence, "");
  text += table_text("Shift of each pivot (x forward, y left, z up)", shift_heads(input), shift_rows(input));
  if (input.comparison.judged)
    text += wrapped(
        "\xC2\xB1 is one standard uncertainty; by chance: so much when this pivot has not moved; of "
        "all: when none has and all are looked at.",
        "  ");
  text += table_text(input.comparison.mirrored ? "What that does" : "What that did",
                     change_heads(input.comparison), change_rows(input));
  text += table_text("Change from ride height, degrees (toe-in and top outwards positive)",
                     travel_heads(input), travel_rows(input));
  text += "\nHow it was compared\n";
  for (const std::string& line : comparison_method(input)) text += wrapped(line, "  - ");
  return text;
}

}  // namespace pivotfix
