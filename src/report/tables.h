// SPDX-License-Identifier: Apache-2.0
// The report's rows of numbers, as plain text cells: the page and the terminal show the same.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "report/pictures.h"
#include "report/report.h"
#include "report/shown_unit.h"

namespace pivotfix::report {

using Rows = std::vector<std::vector<std::string>>;

// What / now / after; after the advice's own plan, or another one.
Rows before_after_rows(const ReportInput& input);
Rows before_after_rows(const ReportInput& input, const Plan& plan);

// What / value: how the steering link stands to the arm, to the instant centre and in length.
Rows link_rows(const Advice& advice, LengthUnit unit);

// What / value, the geometry at ride height, the former among it.
Rows geometry_rows(const ReportInput& input);

// Name, x, y, z with their uncertainty, way.
Rows hardpoint_rows(const HardpointSet& set, LengthUnit unit);
bool has_uncertainties(const HardpointSet& set);

// Travels that are worth a row, bump first: round ones, whole inches, ride height and both ends.
std::vector<double> tabled_travel_mm(double lowest_mm, double highest_mm, LengthUnit unit);

struct ToeAt {
  double toe_rad = 0.0;
  double sigma_rad = 0.0;
};
// Between the curve's points by straight lines; empty outside them.
std::optional<ToeAt> toe_at(const ToeCurve& curve, double travel_mm);

struct ToeColumn {
  std::string head{};
  const ToeCurve* curve = nullptr;
  bool with_sigma = false;
};
// Travel, then one cell per column: degrees, and mm at the rim where `rim_diameter_mm` is not zero.
// The curves that are worth a column. Points into `advice`, which must outlive the columns.
std::vector<ToeColumn> toe_columns(const Advice& advice);
Rows toe_rows(const std::vector<ToeColumn>& columns, LengthUnit unit, double rim_diameter_mm);
inline std::string travel_head(LengthUnit unit) {
  return "travel, " + std::string(name_of(unit));
}
std::string travel_text(double travel_mm, LengthUnit unit);

// Spacers / rod end / short of best / largest change, for the best few stacks.
Rows stack_rows(const Advice& advice, LengthUnit unit, std::size_t most);

// "2 x 0.060 in, 1 x 0.200 in", "no spacer".
std::string spacers_text(const std::vector<Spacer>& spacers, LengthUnit unit, const std::string& times);

// What the ± of the best height means, in a sentence or two.
std::string how_sure(const ReportInput& input);

// What the advice and the photographs warn of.
std::vector<std::string> limits_of(const ReportInput& input);

// "lower arm front pivot"
std::string spoken(std::string_view hardpoint_name);

// The cautions that every report carries.
const std::vector<std::string>& cautions();
inline constexpr const char* short_caution =
    "Steering parts are safety-critical: axle stands on firm ground, torques and locknuts as the maker says, "
    "toe set and work checked by a qualified person before driving.";

}  // namespace pivotfix::report
