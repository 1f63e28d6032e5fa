// SPDX-License-Identifier: Apache-2.0
// The report's sections in the order of the page. Each is whole, with its heading, and empty where its input
// is absent. A section of another stage gets a file of its own, a line here and a line in report.cc.
#pragma once

#include <functional>

#include "page/each_unit.h"
#include "page/markup.h"
#include "report/report.h"

namespace pivotfix::report {

// What to bolt on, how sure that is, the stack.
Markup answer_section(const ReportInput& input);

// Moves the rod end through what the spacers at hand allow; words, figures and drawings follow.
Markup choice_slider(const ReportInput& input);

// The caution that stands near the top, and what limits the answer.
Markup limits_section(const ReportInput& input);

// How toe changes over the travel, and why: toe curve, views of the corner, angles.
Markup movement_section(const ReportInput& input);

// The corner in space, to turn and to move through its travel. Needs the page's script.
Markup space_section(const ReportInput& input);

Markup what_if_section(const ReportInput& input);

// Tables of all numbers.
Markup numbers_section(const ReportInput& input);

Markup next_shots_section(const ReportInput& input);

Markup photographs_section(const ReportInput& input);

// Program, files with their checksums and options that the hardpoints were made with, on demand.
Markup record_section(const ReportInput& input);

// The block once for each unit: `make` gets the input with that unit.
Markup in_each_unit(const ReportInput& input, const std::function<Markup(const ReportInput&)>& make);

}  // namespace pivotfix::report
