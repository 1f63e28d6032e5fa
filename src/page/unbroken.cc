// SPDX-License-Identifier: Apache-2.0
#include "page/unbroken.h"

#include <regex>

namespace pivotfix::report {

std::string unbroken(std::string_view words) {
  static const std::regex before_unit("(\\d) (?=(?:mm|in|thou|deg)(?![A-Za-z]))");
  static const std::regex of_a_kind("(\\d) (x|×) (?=\\d)");
  static const std::regex after_sign("± (?=\\d)");
  std::string text = std::regex_replace(std::string(words), before_unit, "$1\u00A0");
  text = std::regex_replace(text, of_a_kind, "$1\u00A0$2\u00A0");
  return std::regex_replace(text, after_sign, "±\u00A0");
}

}  // namespace pivotfix::report
