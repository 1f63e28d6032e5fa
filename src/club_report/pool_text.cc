// SPDX-License-Identifier: Apache-2.0
#include "club_report/pool_words.h"
#include "page/numbers.h"
#include "page/text_layout.h"

namespace pivotfix {
namespace report {
namespace {

Rows with_heads(const std::vector<std::string>& heads, const Rows& rows) {
  Rows all{heads};
  all.insert(all.end(), rows.begin(), rows.end());
  return all;
}

// A line or two for each car: names and checksums are too long for columns.
std::string car_lines(const PoolReport& input) {
  std::string text;
  for (const auto& row : car_rows(input)) {
    std::string how;
    for (const auto& [before, cell] : {std::pair{"measured on ", row[1]}, {"by ", row[2]}, {"", row[3]}})
      if (cell != not_known) how += (how.empty() ? "" : ", ") + (before + cell);
    text += wrapped(row[0] + (how.empty() ? "" : ": " + how), "  ");
    text += "    checksum " + printable(row[4]) + "\n";
  }
  return text;
}

}  // namespace
}  // namespace report

std::string pool_text(const PoolReport& input) {
  using namespace report;
  std::string text = wrapped(input.pool.result.title, "") + "\n";
  for (const std::string& sentence : pool_sentences(input)) text += wrapped(sentence, "");
  const Rows pivots = with_heads(pooled_heads(input.unit), pooled_rows(input));
  text +=
      "\nMean of each pivot (x forward, y left, z up)\n" + aligned(only_columns(pivots, {0, 1, 2, 3}), true);
  text += "\nHow the cars differ, " + std::string(name_of(input.unit)) + "\n" +
          aligned(only_columns(pivots, {0, 4, 5, 6, 7, 8}), true);
  text += "\nCars\n" + car_lines(input);
  text += "\nHow it was pooled\n";
  for (const std::string& line : pool_method_words(input)) text += wrapped(line, "  - ");
  return text;
}

}  // namespace pivotfix
