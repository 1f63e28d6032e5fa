// SPDX-License-Identifier: Apache-2.0
#include "club_report/pool_words.h"
#include "page/text_layout.h"

namespace pivotfix {
namespace report {
namespace {

Rows with_heads(const std::vector<std::string>& heads, const Rows& rows) {
  Rows all{heads};
  all.insert(all.end(), rows.begin(), rows.end());
  return all;
}

}  // namespace
}  // namespace report

std::string pool_text(const PoolReport& input) {
  using namespace report;
  std::string text = wrapped(input.pool.result.title, "") + "\n";
  for (const std::string& sentence : pool_sentences(input)) text += wrapped(sentence, "");
  text += "\nMean of each pivot (x forward, y left, z up)\n" +
          aligned(with_heads(pooled_heads(input.unit), pooled_rows(input)), true);
  text += "\nCars\n" + aligned(with_heads(car_heads(), car_rows(input)), false);
  text += "\nHow it was pooled\n";
  for (const std::string& line : pool_method_words(input)) text += wrapped(line, "  - ");
  return text;
}

}  // namespace pivotfix
