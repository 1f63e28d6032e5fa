// SPDX-License-Identifier: Apache-2.0
// The page holds every length in each unit that people use, written here where the rounding rules are; a
// switch in the page only chooses which one is seen.
#pragma once

#include <array>
#include <functional>
#include <string>
#include <vector>

#include "base/units.h"
#include "page/markup.h"

namespace pivotfix::report {

inline constexpr std::array<LengthUnit, 3> all_units{LengthUnit::millimetre, LengthUnit::inch,
                                                     LengthUnit::thousandth};

// "unit-mm", "unit-in", "unit-thou": page.css hides those that are not wanted.
std::string unit_class(LengthUnit unit);

// The block once for each unit, of which the page shows the one that is wanted; once in all where all come
// out the same. No pictures inside: their ids would come thrice.
Markup in_each_unit(const std::function<Markup(LengthUnit)>& make);

// Likewise for words within a paragraph or a caption.
Markup words_in_each_unit(const std::function<std::string(LengthUnit)>& words);

// Sentences of other stages, which speak in millimetres (see lengths_in), likewise; and a list of them.
Markup lengths_in_each_unit(const std::string& words);
Markup bullets_in_each_unit(const std::vector<std::string>& texts);

}  // namespace pivotfix::report
