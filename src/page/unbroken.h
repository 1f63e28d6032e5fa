// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

namespace pivotfix::report {

// The words with no-break spaces where a line must not end: between a number and its unit, after "±", in "2
// x".
std::string unbroken(std::string_view words);

}  // namespace pivotfix::report
