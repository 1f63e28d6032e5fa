// SPDX-License-Identifier: Apache-2.0
#include <charconv>
#include <fstream>
#include <iostream>
#include <memory>
#include <sstream>

#include "advice/advice.h"
#include "cli/command.h"
#include "job/job.h"
#include "report/report.h"

namespace pivotfix {
namespace {

namespace fs = std::filesystem;

struct SteerOptions {
  std::string file{};
  std::string bump{};
  std::string droop{};
  std::vector<std::string> spacers{};
  std::vector<std::string> between{};
  std::string mounted{};
  std::string units{};
  std::string report{};
  bool force = false;
};

// What `advise` needs, from whichever file the user named.
struct SteerCase {
  HardpointSet hardpoints{};
  RodEnd rod_end{};
  Driving driving{};
  LengthUnit unit = LengthUnit::millimetre;
};

std::string text_of(const fs::path& file, const std::string& remedy) {
  std::ifstream stream(file, std::ios::binary);
  if (!stream || fs::is_directory(file))
    throw Problem(ProblemKind::input, "There is no hardpoint file of this name that can be read.", remedy,
                  Place{file.string()});
  std::ostringstream text;
  text << stream.rdbuf();
  return text.str();
}

// The job file may have been edited since `locate`: wheel, spacers and travel count as they are now.
SteerCase case_of_job(const std::string& file) {
  const Job job = read_job(file);
  const fs::path hardpoints = job.file.parent_path() / "hardpoints.json";
  SteerCase steer{hardpoints_from_json(text_of(hardpoints, "Run this first: pivotfix locate " + file),
                                       hardpoints.string()),
                  job.rod_end, job.driving, job.unit};
  if (steer.hardpoints.side != job.question.side || steer.hardpoints.layout != job.question.layout)
    throw Problem(ProblemKind::input, "The file is of another side or layout than the job.",
                  "Run this again: pivotfix locate " + file, Place{hardpoints.string()});
  steer.hardpoints.title = job.title;
  steer.hardpoints.wheel = job.wheel;
  return steer;
}

SteerCase case_of_hardpoints(const std::string& file) {
  SteerCase steer;
  steer.hardpoints = hardpoints_from_json(text_of(file, "Check the path."), file);
  steer.rod_end = with_spacers_on_car(steer.hardpoints.rod_end.value_or(RodEnd{}));
  steer.driving = steer.hardpoints.driving.value_or(Driving{});
  return steer;
}

double positive_mm(const std::string& option, const std::string& text, LengthUnit unit) {
  const double length_mm = length_option_mm(option, text, unit);
  if (!(length_mm > 0.0))
    throw Problem(ProblemKind::usage, option + ": the length must be more than zero.", "");
  return length_mm;
}

// As the user wrote it, with the unit after a bare number.
std::string label_of(const std::string& text, LengthUnit unit) {
  const bool bare = text.find_first_not_of("0123456789.+ ") == std::string::npos;
  return bare ? text + (unit == LengthUnit::inch ? " in" : " mm") : text;
}

// "0.060 in" or "0.060 in:2".
Spacer spacer_option(const std::string& text, LengthUnit unit) {
  const std::size_t colon = text.rfind(':');
  const std::string thickness = text.substr(0, colon);
  Spacer spacer{positive_mm("--spacer", thickness, unit), 1, label_of(thickness, unit)};
  if (colon == std::string::npos) return spacer;
  const char* end = text.data() + text.size();
  const auto parsed = std::from_chars(text.data() + colon + 1, end, spacer.count);
  if (parsed.ec != std::errc{} || parsed.ptr != end || spacer.count < 1 || spacer.count > 50)
    throw Problem(ProblemKind::usage, "--spacer: \"" + text + "\" has no count from 1 to 50 after the colon.",
                  "Write it like --spacer \"0.060 in:2\".");
  return spacer;
}

void apply_rod_end_options(const SteerOptions& options, SteerCase& steer) {
  if (!options.spacers.empty()) steer.rod_end.stock.clear();
  for (const std::string& text : options.spacers)
    steer.rod_end.stock.push_back(spacer_option(text, steer.unit));
  if (!options.between.empty()) steer.rod_end.between_now.clear();
  for (const std::string& text : options.between)
    if (text != "none")
      steer.rod_end.between_now.push_back(
          {positive_mm("--between", text, steer.unit), 1, label_of(text, steer.unit)});
  if (!options.mounted.empty()) {
    try {
      steer.rod_end.mount = rod_end_mount_from_name(options.mounted);
    } catch (const Problem& problem) {
      throw Problem(ProblemKind::usage, "--mounted: " + problem.what_happened(), problem.remedy());
    }
  }
  steer.rod_end = with_spacers_on_car(steer.rod_end);
}

SteerCase case_from(const SteerOptions& options) {
  SteerCase steer = fs::path(options.file).extension() == ".toml" ? case_of_job(options.file)
                                                                  : case_of_hardpoints(options.file);
  if (!options.units.empty()) steer.unit = unit_option(options.units);
  if (!options.bump.empty()) steer.driving.travel.bump_mm = positive_mm("--bump", options.bump, steer.unit);
  if (!options.droop.empty())
    steer.driving.travel.droop_mm = positive_mm("--droop", options.droop, steer.unit);
  apply_rod_end_options(options, steer);
  return steer;
}

void run_steer(const SteerOptions& options) {
  const SteerCase steer = case_from(options);
  if (!options.report.empty()) check_may_write(options.report, options.force);
  ReportInput input;
  input.title = steer.hardpoints.title;
  input.program_version = program_version;
  input.unit = steer.unit;
  input.hardpoints = steer.hardpoints;
  input.rod_end = steer.rod_end;
  input.advice = advise(steer.hardpoints, steer.rod_end, steer.driving.travel);
  const std::string text = steer_text(input);
  if (!options.report.empty()) write_whole_file(options.report, report_html(input));
  std::cout << text;
  if (!options.report.empty()) std::cout << "\nThe whole report: " << options.report << "\n";
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
  command->add_option("--bump", options->bump,
                      "Travel upwards that shall be flat [from the file, else 40 mm]");
  command->add_option("--droop", options->droop, "Travel downwards [from the file, else 40 mm]");
  command
      ->add_option(
          "--spacer", options->spacers,
          "Spacer that you have, with its count: \"0.060 in:2\"; may come again; replaces the file's")
      ->allow_extra_args(false);
  command
      ->add_option("--between", options->between,
                   "Spacer now between steering arm and rod end; may come again; \"none\" for none")
      ->allow_extra_args(false);
  command->add_option("--mounted", options->mounted, "below-arm or above-arm: where the rod end sits");
  command->add_option("--units", options->units, "Unit of bare numbers and of the answer: mm or in");
  command->add_option("--report", options->report, "Write the report to this HTML file as well");
  command->add_flag("--force", options->force, "Replace the report file if it exists");
  command->footer(
      std::string("Examples: pivotfix steer front-left.toml\n"
                  "          pivotfix steer hardpoints.json --spacer \"0.200 in\" --spacer \"0.060 in:2\"\n\n"
                  "Lengths may carry their unit (\"40 mm\", \"0.060 in\"); bare numbers are in the job's\n"
                  "units, or millimetres. What the options do not say comes from the file.\n\n") +
      exit_codes_help);
  command->callback([options] { run_steer(*options); });
}

}  // namespace pivotfix
