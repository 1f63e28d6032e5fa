// SPDX-License-Identifier: Apache-2.0
#include "cli/figure_options.h"

#include <algorithm>
#include <cmath>

#include "base/problem.h"
#include "cli/command.h"
#include "cli/job_options.h"
#include "cli/steer_case.h"

namespace pivotfix {
namespace {

constexpr double most_rack_mm = 300.0;
constexpr double most_roll_deg = 10.0;

double rack_option_mm(const std::string& option, const std::string& text, LengthUnit unit) {
  const double length_mm = length_option_mm(option, text, unit);
  if (!(std::abs(length_mm) <= most_rack_mm))
    throw Problem(ProblemKind::usage, option + ": \"" + text + "\" is more than any rack travels.", "");
  return length_mm;
}

double roll_option_rad(const std::string& text) {
  const double roll_rad = angle_option_rad("--roll", text);
  if (!(roll_rad > 0.0 && roll_rad <= rad_from_deg(most_roll_deg)))
    throw Problem(ProblemKind::usage,
                  "--roll: the angle must be above 0 and at most " + format_fixed(most_roll_deg, 0) + " deg.",
                  "");
  return roll_rad;
}

HardpointSet other_corner(const std::string& file, const HardpointSet& own) {
  const SteerCase other_case = case_of_file(file);
  print_notes(other_case.notes, other_case.unit);
  HardpointSet other = other_case.question.hardpoints;
  if (other.side == own.side)
    throw Problem(ProblemKind::usage,
                  "--other-corner: \"" + file + "\" is a " + std::string(name_of(other.side)) +
                      " corner like the first one.",
                  "Give one left and one right corner.");
  return other;
}

}  // namespace

void add_figure_options(CLI::App& command, FigureOptions& options) {
  command.add_flag("--figures", options.print,
                   "Print all figures over travel as well: toe, camber, caster, trail, roll centre ...");
  command
      .add_option("--rack", options.racks,
                  "Toe curve with the rack this far to the left (minus: right) too; may come again")
      ->allow_extra_args(false);
  command.add_option("--roll", options.roll, "Roll steer up to this angle of the body [3 deg]");
  command.add_option("--rack-travel", options.rack_travel,
                     "Steer angles and Ackermann up to this way of the rack to either side [40 mm]");
  command.add_option("--wheelbase", options.wheelbase, "Wheelbase, for Ackermann's ideal");
  command
      .add_option("--other-corner", options.other_corner,
                  "Job or hardpoint file of the other front corner, for roll and steering [mirrored]")
      ->option_text("FILE");
  command.add_option("--figures-csv", options.figures_csv, "Write all figures over travel to this CSV file")
      ->option_text("FILE");
  command
      .add_option("--axle-csv", options.axle_csv, "Write both wheels in roll and steering to this CSV file")
      ->option_text("FILE");
}

CornerFigures figures_for(const FigureOptions& options, const AdviceQuestion& question, LengthUnit unit) {
  FigureQuestion wanted;
  wanted.hardpoints = with_readings_used(question).hardpoints;
  wanted.travels_mm = figure_travels_mm(question.driving.travel, unit);
  for (const std::string& text : options.racks)
    wanted.racks_mm.push_back(rack_option_mm("--rack", text, unit));
  if (!options.other_corner.empty())
    wanted.other_corner = other_corner(options.other_corner, question.hardpoints);
  if (!options.roll.empty()) wanted.largest_roll_rad = roll_option_rad(options.roll);
  if (!options.rack_travel.empty()) {
    wanted.rack_travel_mm = rack_option_mm("--rack-travel", options.rack_travel, unit);
    if (!(wanted.rack_travel_mm > 0.0))
      throw Problem(ProblemKind::usage, "--rack-travel: the length must be more than zero.", "");
  }
  if (!options.wheelbase.empty())
    wanted.wheelbase_mm = positive_option_mm("--wheelbase", options.wheelbase, unit);
  return corner_figures(wanted);
}

}  // namespace pivotfix
