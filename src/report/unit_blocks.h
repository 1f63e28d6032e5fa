// SPDX-License-Identifier: Apache-2.0
// Blocks with lengths, for pages of any kind; each_unit.h has the same for the main report's input.
#pragma once

#include <functional>

#include "report/markup.h"
#include "report/shown_unit.h"

namespace pivotfix::report {

// The block once for each unit, of which the page shows the one that is wanted; once in all where all come
// out the same. No pictures inside: their ids would come thrice.
Markup in_each_unit(const std::function<Markup(LengthUnit)>& make);

}  // namespace pivotfix::report
