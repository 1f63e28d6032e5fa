// SPDX-License-Identifier: Apache-2.0
// Rows of what the advice says beyond the answer itself: aims, ways of driving, tilt, doubts, readings, what
// if.
#pragma once

#include "report/tables.h"

namespace pivotfix::report {

// Aim / rod end / link / largest toe change / first inch.
Rows height_rows(const ReportInput& input);

// Way of driving / travel / now / with the choice / at its own best / own best height.
Rows driving_rows(const ReportInput& input);

// What / angle; empty when nothing is known of the rod end's limits and needs.
Rows tilt_rows(const ReportInput& input);

// Coordinate / its uncertainty / mm per mm / share.
Rows share_rows(const ReportInput& input, std::size_t most);

// Travel / as read / predicted / both together.
Rows reading_rows(const ReportInput& input);

// How readings and hardpoints go together, in a sentence; empty without readings.
std::string reading_summary(const Advice& advice);

// Case / mismatch / effective mismatch / slope per inch / largest toe change / best rod end / first stack.
// The first row is the car as it is.
Rows what_if_rows(const ReportInput& input);

// Travel / as it is / each case, with the spacers as they are.
inline constexpr const char* what_if_toe_caption =
    "Toe change with today's spacers, degrees (toe-in positive)";
Rows what_if_toe_rows(const ReportInput& input);

// "street", "your own travel"
std::string driving_words(const Driving& driving);

}  // namespace pivotfix::report
