// SPDX-License-Identifier: Apache-2.0
#include <iostream>
#include <memory>

#include "advice/check_with_toe.h"
#include "advice/what_if.h"
#include "cli/command.h"
#include "cli/job_options.h"
#include "cli/steer_case.h"
#include "job/whole_file.h"
#include "pool/pool.h"
#include "report/report.h"

namespace pivotfix {
namespace {

// What is wrong with a change that was typed is said with its option.
template <typename Run>
auto naming_option(const std::string& option, Run run) {
  try {
    return run();
  } catch (const Problem& problem) {
    if (problem.kind() != ProblemKind::usage) throw;
    throw Problem(ProblemKind::usage, option + ": " + problem.what_happened(), problem.remedy());
  }
}

void add_what_ifs(const SteerOptions& options, const SteerCase& steer, ReportInput& input) {
  for (const std::string& text : options.what_ifs)
    input.what_ifs.push_back(
        naming_option("--what-if", [&] { return what_if(steer.question, changes_from(text, steer.unit)); }));
}

void add_sweep(const SteerOptions& options, const SteerCase& steer, ReportInput& input) {
  if (options.sweeps.empty()) {
    if (!options.contour.empty())
      throw Problem(ProblemKind::usage, "--contour needs two sweeps.",
                    "Write it like --sweep ride-height=-60..0mm --sweep rack=-10..10mm.");
    return;
  }
  if (options.sweeps.size() != 2)
    throw Problem(ProblemKind::usage, "--sweep must come twice: a contour plot has two axes.",
                  "Write it like --sweep ride-height=-60..0mm --sweep rack=-10..10mm.");
  input.sweep = naming_option("--sweep", [&] {
    return sweep(steer.question, sweep_axis_from(options.sweeps[0], steer.unit),
                 sweep_axis_from(options.sweeps[1], steer.unit));
  });
}

void run_steer(const SteerOptions& options) {
  const SteerCase steer = case_from(options);
  print_notes(steer.notes, steer.unit);
  const FigureOptions& figures = options.figures;
  for (const std::string& file : {options.report, options.contour, figures.figures_csv, figures.axle_csv})
    if (!file.empty()) check_may_write(file, options.force);
  ReportInput input;
  input.title = steer.question.hardpoints.title;
  input.program_version = program_version;
  input.unit = steer.unit;
  input.hardpoints = steer.question.hardpoints;
  input.rod_end = steer.question.rod_end;
  input.advice = advise(steer.question);
  if (!steer.ride_height_words.empty()) input.advice.sentences.push_back(steer.ride_height_words);
  const bool checked = comes_from_photos(input.hardpoints) || input.advice.verification;
  if (const std::string words = check_with_toe_words(input.advice); !checked && !words.empty())
    input.advice.sentences.push_back(words);
  add_what_ifs(options, steer, input);
  add_sweep(options, steer, input);
  if (figures.wants_text() || figures.wants_files() || !options.report.empty())
    input.figures = figures_for(figures, steer.question, steer.unit);
  if (!options.report.empty()) input.exploration = explore(steer.question, input.advice);
  std::string text = steer_text(input);
  const WheelSetting& wheel = input.hardpoints.wheel;
  if (figures.wants_text()) text += "\n" + figures_text(*input.figures, wheel, input.unit);
  std::vector<FileToWrite> files;
  if (!options.report.empty()) files.push_back({options.report, report_html(input)});
  if (!options.contour.empty()) files.push_back({options.contour, contour_svg(*input.sweep, input.unit)});
  if (!figures.figures_csv.empty())
    files.push_back({figures.figures_csv, figures_csv(*input.figures, wheel)});
  if (!figures.axle_csv.empty()) files.push_back({figures.axle_csv, axle_csv(*input.figures)});
  if (!files.empty()) write_whole_files(files);
  std::cout << text;
  if (!options.report.empty()) std::cout << "\nThe whole report: " << options.report << "\n";
  if (!options.contour.empty()) std::cout << "\nThe contour plot: " << options.contour << "\n";
  if (!figures.figures_csv.empty()) std::cout << "\nFigures over travel: " << figures.figures_csv << "\n";
  if (!figures.axle_csv.empty()) std::cout << "\nBoth wheels: " << figures.axle_csv << "\n";
}

void add_driving_options(CLI::App& command, SteerOptions& options) {
  command.add_option("--driving", options.driving,
                     "street, track, standing-start or one-inch: travel that shall be flat");
  command.add_option("--bump", options.bump, "Travel upwards that shall be flat [from the file, else 40 mm]");
  command.add_option("--droop", options.droop, "Travel downwards [from the file, else 40 mm]");
  command.add_option("--aim", options.aim, "least-squares, smallest-peak or zero-slope: what flat means");
  command
      .add_option("--weight", options.weights,
                  "How much toe change counts at a travel: \"-50 mm:2\"; may come again")
      ->allow_extra_args(false);
}

void add_spacer_options(CLI::App& command, SteerOptions& options) {
  command
      .add_option("--spacer", options.spacers,
                  "Spacer that you have, with its count: \"0.060 in:2\"; may come again; replaces the file's")
      ->allow_extra_args(false);
  command
      .add_option("--between", options.between,
                  "Spacer now between steering arm and rod end; may come again; \"none\" for none")
      ->allow_extra_args(false);
  command
      .add_option("--other-side", options.other_side,
                  "Spacer now on the other side of the rod end; may come again; \"none\" for none")
      ->allow_extra_args(false);
  command.add_option("--stack-total", options.stack_total, "Thickness of all spacers on the stud together");
  command.add_option("--mounted", options.mounted, "below-arm or above-arm: where the rod end sits");
}

void add_more_options(CLI::App& command, SteerOptions& options) {
  command
      .add_option("--reading", options.readings,
                  "Toe of this wheel alone (half the total), toe-in positive, read on a rack: "
                  "travel:toe:uncertainty, \"1 in:-0.20 deg:0.03 deg\"; may come again")
      ->allow_extra_args(false);
  command
      .add_option("--what-if", options.what_ifs,
                  "Answer for a changed car too: ride-height=-30mm; may come again")
      ->allow_extra_args(false);
  command
      .add_option("--sweep", options.sweeps, "Change over a range, twice for a contour plot: rack=-10..10mm")
      ->allow_extra_args(false);
  command.add_option("--contour", options.contour, "Write the contour plot to this SVG file as well");
}

}  // namespace

void add_steer_command(CLI::App& app) {
  CLI::App* command = app.add_subcommand("steer", "Advise on rod-end spacers, from pivots already known");
  const auto options = std::make_shared<SteerOptions>();
  command
      ->add_option("file", options->file,
                   "Job file with hardpoints.json beside it, or a hardpoint file, also typed by hand")
      ->required()
      ->option_text("JOB.toml|HARDPOINTS.json");
  add_driving_options(*command, *options);
  add_spacer_options(*command, *options);
  add_more_options(*command, *options);
  add_figure_options(*command, options->figures);
  command->add_option("--units", options->units, "Unit of bare numbers and of the answer: mm or in");
  command->add_option("--report", options->report, "Write the report to this HTML file as well");
  command->add_flag("--force", options->force, "Replace the files if they exist");
  command->footer(
      std::string(
          "Examples: pivotfix steer front-left.toml\n"
          "          pivotfix steer hardpoints.json --spacer \"0.200 in\" --spacer \"0.060 in:2\"\n"
          "          pivotfix steer front-left.toml --what-if ride-height=-30mm\n"
          "          pivotfix steer front-left.toml --figures --other-corner right/front-right.toml\n\n"
          "Lengths may carry their unit (\"40 mm\", \"0.060 in\"); bare numbers are in the job's\n"
          "units, or millimetres. What the options do not say comes from the file.\n\n"
          "--what-if and --sweep know: ride-height, lower-ball-joint (further down),\n"
          "lower-arm-pivots, upper-arm-pivots, rack, rod-end (up), link-length (longer), and every\n"
          "hardpoint with .x, .y or .z, like link-inner-joint.z. Several changes in one --what-if have\n"
          "commas between them.\n\n") +
      exit_codes_help);
  command->callback([options] { run_steer(*options); });
}

}  // namespace pivotfix
