// SPDX-License-Identifier: Apache-2.0
// Figures as text for the terminal and as CSV (RFC 4180, but "\n" ends the lines) for other programs.
#include <algorithm>
#include <cmath>

#include "page/text_layout.h"
#include "report/figure_tables.h"
#include "report/report.h"

namespace pivotfix {
namespace {

using namespace report;

// As many digits as anybody could want; empty where there is no number.
std::string csv_number(double value) {
  return std::isfinite(value) ? format_fixed(value, 6) : "";
}

void add_csv_rows(const FigureCurve& curve, double rim_mm, bool with_sigmas, std::string& csv) {
  for (const FiguresAt& at : curve.states) {
    csv += csv_number(curve.rack_mm) + "," + csv_number(at.travel_mm);
    for (const FigureGroup& group : figure_groups())
      for (const FigureColumn& column : group.columns) {
        csv += "," + csv_number(shown_value(at, column, rim_mm, LengthUnit::millimetre));
        const double sigma = shown_sigma(at, column, rim_mm, LengthUnit::millimetre);
        csv += "," + (with_sigmas ? csv_number(sigma) : std::string());
      }
    csv += "\n";
  }
}

}  // namespace

std::string figures_text(const CornerFigures& figures, const WheelSetting& wheel, LengthUnit unit) {
  std::string text = "How the wheel moves, spacers as they are now\n";
  for (const FigureTable& table : figure_tables(figures, wheel, unit)) {
    Rows rows{table.heads};
    rows.insert(rows.end(), table.rows.begin(), table.rows.end());
    text += "\n" + wrapped(table.caption, "") + aligned(rows, table.numbers);
  }
  text += "\n";
  for (const std::string& note : figure_notes(figures, wheel))
    text += wrapped(lengths_in(note, unit), "  - ");
  return text;
}

std::string figures_csv(const CornerFigures& figures, const WheelSetting& wheel) {
  std::string csv = "rack_to_left_mm,travel_mm";
  for (const FigureGroup& group : figure_groups())
    for (const FigureColumn& column : group.columns)
      csv += "," + std::string(column.name) + ",sigma_" + column.name;
  csv += "\n";
  bool with_sigmas = false;
  for (const FiguresAt& at : figures.straight_ahead.states)
    with_sigmas = with_sigmas || at.sigma_of(Figure::caster) > 0.0;
  add_csv_rows(figures.straight_ahead, wheel.rim_diameter_mm, with_sigmas, csv);
  for (const FigureCurve& curve : figures.rack_held) add_csv_rows(curve, wheel.rim_diameter_mm, false, csv);
  return csv;
}

std::string axle_csv(const CornerFigures& figures) {
  std::string csv =
      "roll_deg,rack_to_left_mm,left_travel_mm,right_travel_mm,left_steer_deg,right_steer_deg,"
      "inner_minus_outer_deg,ackermann_deg\n";
  for (const RollState& state : figures.roll.states)
    csv += csv_number(deg_from_rad(state.roll_rad)) + ",0.000000," + csv_number(state.left_travel_mm) + "," +
           csv_number(state.right_travel_mm) + "," + csv_number(deg_from_rad(state.left_steer_rad)) + "," +
           csv_number(deg_from_rad(state.right_steer_rad)) + ",,\n";
  for (const SteerState& state : figures.steer.states)
    csv += "0.000000," + csv_number(state.rack_mm) + ",0.000000,0.000000," +
           csv_number(deg_from_rad(state.left_steer_rad)) + "," +
           csv_number(deg_from_rad(state.right_steer_rad)) + "," +
           csv_number(deg_from_rad(state.ackermann_difference_rad)) + "," +
           (state.ideal_difference_rad ? csv_number(deg_from_rad(*state.ideal_difference_rad)) : "") + "\n";
  return csv;
}

std::vector<double> figure_travels_mm(const Travel& travel, LengthUnit unit) {
  const double step_mm = unit == LengthUnit::millimetre ? 2.5 : 0.1 * mm_per_inch;
  std::vector<double> travels = report::tabled_travel_mm(-travel.droop_mm, travel.bump_mm,
                                                         unit);  // whole inches and the ends among them
  for (int i = static_cast<int>(std::ceil(-travel.droop_mm / step_mm)); i * step_mm <= travel.bump_mm; ++i)
    travels.push_back(i * step_mm);
  std::sort(travels.begin(), travels.end());
  const auto same = [](double a, double b) { return std::abs(a - b) < 1e-6; };
  travels.erase(std::unique(travels.begin(), travels.end(), same), travels.end());
  return travels;
}

}  // namespace pivotfix
