// SPDX-License-Identifier: Apache-2.0
// Lengths within sentences. Sentences of the stages speak in millimetres; a report shows them in the reader's
// unit. What it may rewrite must be a figure of the program, not "12 mm" in a name or label that a user
// typed, so the program's own have a no-break space before their unit.
#pragma once

#include <string>
#include <string_view>

namespace pivotfix {

inline constexpr std::string_view marked_mm = "\xC2\xA0mm";

// "12.70 mm" with the mark: `decimals` digits after the point. `lengths_in` (page/numbers.h) knows "8.6 ± 0.4
// mm" with one mark at its end, too.
std::string length_words(double length_mm, int decimals);

// The same words for people who read millimetres: no-break spaces become plain ones.
std::string with_plain_spaces(std::string_view words);

}  // namespace pivotfix
