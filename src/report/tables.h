// SPDX-License-Identifier: Apache-2.0
// The report's rows of numbers, as plain text cells: the page and the terminal show the same.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "page/numbers.h"
#include "page/text_layout.h"
#include "page/travel_axis.h"
#include "report/pictures.h"
#include "report/report.h"

namespace pivotfix::report {

// What / now / after; after the advice's own plan, or another one. Three columns of whole words would not fit
// into the terminal's width.
enum class Room { page, terminal };
Rows before_after_rows(const ReportInput& input);
Rows before_after_rows(const ReportInput& input, const Plan& plan, Room room = Room::page);

// What / value: how the steering link stands to the arm, to the instant centre and in length.
Rows link_rows(const Advice& advice, LengthUnit unit);

// What / value, the geometry at ride height, the former among it.
Rows geometry_rows(const ReportInput& input);

// Name, x, y, z with their uncertainty, way.
Rows hardpoint_rows(const HardpointSet& set, LengthUnit unit);
// How a pivot was found, its lengths in this unit where the words are the program's own; another's words,
// from a hand-typed file, as they are.
std::string way_words(const std::string& way, LengthUnit unit);

bool has_uncertainties(const HardpointSet& set);

struct ToeColumn {
  std::string head{};
  const ToeCurve* curve = nullptr;
  bool with_sigma = false;
};
// The curves that are worth a column. Points into `advice`, which must outlive the columns.
std::vector<ToeColumn> toe_columns(const Advice& advice);
// Travel, then one cell per column: degrees, and for those with_sigma mm at the rim where `rim_diameter_mm`
// is not zero.
Rows toe_rows(const std::vector<ToeColumn>& columns, LengthUnit unit, double rim_diameter_mm);

// Spacers / rod end / short of best / largest change, for the best few stacks.
Rows stack_rows(const Advice& advice, LengthUnit unit, std::size_t most);

// "2 x 0.060 in, 1 x 0.200 in", "no spacer".
std::string spacers_text(const std::vector<Spacer>& spacers, LengthUnit unit, const std::string& times);

// What the ± of the best height means, in a sentence or two.
std::string how_sure(const ReportInput& input);

// What the advice and the photographs warn of.
std::vector<std::string> limits_of(const ReportInput& input);

}  // namespace pivotfix::report
