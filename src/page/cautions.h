// SPDX-License-Identifier: Apache-2.0
// The cautions that every report carries.
#pragma once

#include <string>
#include <vector>

#include "page/markup.h"

namespace pivotfix::report {

const std::vector<std::string>& cautions();
Markup cautions_section();

inline constexpr const char* short_caution =
    "Steering parts are safety-critical: axle stands on firm ground, torques and locknuts as the maker says, "
    "toe set and work checked by a qualified person before driving.";

}  // namespace pivotfix::report
