// SPDX-License-Identifier: Apache-2.0
// The page holds every length in each unit that people use, written here where the rounding rules are; a
// switch in the page only chooses which one is seen.
#pragma once

#include <array>
#include <functional>
#include <string>

#include "report/markup.h"
#include "report/report.h"
#include "report/shown_unit.h"

namespace pivotfix::report {

inline constexpr std::array<LengthUnit, 3> all_units{LengthUnit::millimetre, LengthUnit::inch, thousandth};

// "unit-mm", "unit-in", "unit-thou": page.css hides those that are not wanted.
std::string unit_class(LengthUnit unit);

// The block once for each unit: `make` gets the input with that unit. Once in all where all come out the
// same. No pictures inside: their ids would come thrice.
Markup in_each_unit(const ReportInput& input, const std::function<Markup(const ReportInput&)>& make);

// Likewise for words within a paragraph or a caption.
Markup words_in_each_unit(const std::function<std::string(LengthUnit)>& words);

}  // namespace pivotfix::report
