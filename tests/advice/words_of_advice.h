// SPDX-License-Identifier: Apache-2.0
// Looking for words in what the advice says, and spacers to say it of.
#pragma once

#include <string>
#include <vector>

#include "advice/advice.h"
#include "base/length_words.h"

namespace pivotfix {

inline RodEnd some_rod_end() {
  RodEnd rod_end;
  rod_end.between_now = {{2.54, 1, "0.100 in"}};
  rod_end.stock = {{5.08, 1, "0.200 in"}, {2.54, 1, "0.100 in"}, {1.524, 2, "0.060 in"}};
  return rod_end;
}

inline std::string all(const std::vector<std::string>& texts) {
  std::string joined;
  for (const std::string& text : texts) joined += with_plain_spaces(text) + "\n";
  return joined;
}

inline bool has(const std::vector<std::string>& texts, const std::string& part) {
  return all(texts).find(part) != std::string::npos;
}

inline std::string all(const Advice& advice) {
  return all(advice.sentences) + all(advice.warnings);
}

inline bool says(const Advice& advice, const std::string& part) {
  return all(advice).find(part) != std::string::npos;
}

}  // namespace pivotfix
