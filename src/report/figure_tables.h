// SPDX-License-Identifier: Apache-2.0
// All figures of how the corners move, as tables that page and terminal share.
#pragma once

#include <string>
#include <vector>

#include "corner/corner_figures.h"
#include "report/tables.h"

namespace pivotfix::report {

struct FigureTable {
  std::string caption{};
  std::vector<std::string> heads{};
  Rows rows{};
  bool numbers = true;  // all columns but the first; else text
};

// How one figure is shown over travel, as a column of tables and of files.
enum class Shown { degrees, degrees_per_inch, rim_mm, rim_inches, length, twice_length };
struct FigureColumn {
  const char* head = "";  // in the table that it stands in
  const char* name = "";  // in files
  Figure figure{};
  Shown shown{};
};
struct FigureGroup {
  const char* caption = "";
  std::vector<FigureColumn> columns{};
};
const std::vector<FigureGroup>& figure_groups();

// In degrees, inches or `unit`; NaN for an instant centre that is far away.
double shown_value(const FiguresAt& at, const FigureColumn& column, double rim_diameter_mm, LengthUnit unit);
double shown_sigma(const FiguresAt& at, const FigureColumn& column, double rim_diameter_mm, LengthUnit unit);

// At ride height with uncertainties and signs; over travel; toe with the rack held; roll; steering.
std::vector<FigureTable> figure_tables(const CornerFigures& figures, const WheelSetting& wheel,
                                       LengthUnit unit);

// What is to be said with the tables: what was not entered, signs, whose corners, where curves end, roll
// steer in a word.
std::vector<std::string> figure_notes(const CornerFigures& figures, const WheelSetting& wheel);

}  // namespace pivotfix::report
