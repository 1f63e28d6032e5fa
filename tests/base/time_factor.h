// SPDX-License-Identifier: Apache-2.0
// Bars of time are for the program as it is used. Sanitizers watch every step of it, unoptimized.
#pragma once

namespace pivotfix {

#ifdef PIVOTFIX_SANITIZED
inline constexpr double time_factor = 20.0;
#else
inline constexpr double time_factor = 1.0;
#endif

}  // namespace pivotfix
