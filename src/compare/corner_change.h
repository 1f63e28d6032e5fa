// SPDX-License-Identifier: Apache-2.0
// What the shifts did to the wheel's motion. Private to the compare stage.
#pragma once

#include "compare/compare.h"

namespace pivotfix {

// Over the first set's travel. Throws Problem where a corner cannot be made or solved.
CornerChange corner_change(const HardpointSet& before, const HardpointSet& after);

}  // namespace pivotfix
