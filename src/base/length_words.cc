// SPDX-License-Identifier: Apache-2.0
#include "base/length_words.h"

#include "base/units.h"

namespace pivotfix {

std::string length_words(double length_mm, int decimals) {
  return format_fixed(length_mm, decimals) + std::string(marked_mm);
}

std::string with_plain_spaces(std::string_view words) {
  constexpr std::string_view no_break_space = "\xC2\xA0";
  std::string plain(words);
  for (std::size_t at = plain.find(no_break_space); at != std::string::npos;
       at = plain.find(no_break_space, at + 1))
    plain.replace(at, no_break_space.size(), " ");
  return plain;
}

}  // namespace pivotfix
