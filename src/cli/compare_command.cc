// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <iostream>
#include <memory>

#include "cli/command.h"
#include "cli/hardpoint_reading.h"
#include "club_report/comparison.h"
#include "hardpoints/workshop_words.h"
#include "job/whole_file.h"

namespace pivotfix {
namespace {

struct CompareCommandOptions {
  std::string before{};
  std::string after{};
  std::string on = "tags";
  std::vector<std::string> touched{};
  std::string sigma{};
  double false_alarms = 0.05;
  std::string units = "mm";
  std::string report{};
  std::string json{};
  bool force = false;
};

// As the option takes it: "link-outer-joint".
std::string typed_name(std::string name) {
  std::replace(name.begin(), name.end(), '_', '-');
  return name;
}

// What people call it: "rod-end" is the link's outer joint.
std::string pivot_called(const std::string& typed, const HardpointSet& before) {
  std::vector<std::string> names;
  for (const Hardpoint& point : before.points) names.push_back(point.name);
  const std::vector<std::string> called = hardpoints_called(typed, names);
  if (called.size() == 1) return called.front();
  std::string list;
  for (const std::string& name : called.empty() ? names : called)
    list += (list.empty() ? "" : ", ") + typed_name(name);
  throw Problem(
      ProblemKind::usage,
      "--touched: \"" + typed + "\" " + (called.empty() ? "is no pivot of this corner." : "may be several."),
      (called.empty() ? "Known are " : "Say which: ") + list + ".");
}

// "link-outer-joint", "link-outer-joint.z", "rod-end.stud".
SaidTouched touched_option(const std::string& text, const HardpointSet& before) {
  const std::size_t dot = text.find('.');
  SaidTouched touched{pivot_called(text.substr(0, dot), before), std::nullopt, {}};
  if (dot == std::string::npos) return touched;
  const std::string along = text.substr(dot + 1);
  touched.direction_words = "along " + along;
  if (along == "x" || along == "y" || along == "z")
    touched.direction_vehicle = Eigen::Vector3d::Unit(along[0] - 'x');
  else if (along == "stud")
    touched.direction_vehicle = before.rod_end.value_or(RodEnd{}).stud_axis_vehicle;
  else
    throw Problem(ProblemKind::usage, "--touched: \"" + along + "\" is no direction.",
                  "Known are x, y, z and stud: --touched rod-end.stud");
  return touched;
}

CompareOptions options_from(const CompareCommandOptions& options, const HardpointSet& before,
                            LengthUnit unit) {
  CompareOptions result;
  result.false_alarms = options.false_alarms;
  if (options.on != "tags" && options.on != "axes")
    throw Problem(ProblemKind::usage, "--on: \"" + options.on + "\" is not known.",
                  "Known are tags and axes.");
  result.on_axes = options.on == "axes";
  if (!options.sigma.empty()) result.assumed_sigma_mm = positive_option_mm("--sigma", options.sigma, unit);
  for (const std::string& text : options.touched) result.touched.push_back(touched_option(text, before));
  return result;
}

// What a spreadsheet has no place for is taken from the other file, so that it does not pass for a change.
// Returns what is to be said of it.
std::string fill_in(const std::string& name, HardpointSet& set, const std::string& other_name,
                    const HardpointSet& other) {
  if (ending_of(name) != ".csv") return "";
  const std::string only = name + " holds the points only: ";
  if (ending_of(other_name) == ".csv") return only + "toe and camber count as zero, the stud as upright.";
  const HardpointSet from = other.side == set.side ? other : mirrored(other);
  set.wheel = from.wheel;
  set.rack_axis_vehicle = from.rack_axis_vehicle;
  set.rod_end = from.rod_end;
  set.driving = from.driving;
  return only + "toe, camber, stud and travel are taken from " + other_name + ".";
}

void run_compare(const CompareCommandOptions& options) {
  ComparisonReport report;
  report.unit = unit_option(options.units);
  HardpointSet before = read_hardpoints(options.before), after = read_hardpoints(options.after);
  const std::array notes{fill_in(options.before, before, options.after, after),
                         fill_in(options.after, after, options.before, before)};
  const CompareOptions how = options_from(options, before, report.unit);
  for (const std::string& file : {options.report, options.json})
    if (!file.empty()) check_may_write(file, options.force);
  report.comparison = compare(before, after, how);
  for (const std::string& note : notes)
    if (!note.empty()) report.comparison.notes.push_back(note);
  report.before_name = options.before;
  report.after_name = options.after;
  report.program_version = program_version;
  const std::string text = compare_text(report);
  std::vector<FileToWrite> files;
  if (!options.report.empty()) files.push_back({options.report, compare_html(report)});
  if (!options.json.empty()) files.push_back({options.json, compare_json(report)});
  if (!files.empty()) write_whole_files(files);
  std::cout << text;
  if (!options.report.empty()) std::cout << "\nThe whole report: " << options.report << "\n";
  if (!options.json.empty()) std::cout << "\nFor programs: " << options.json << "\n";
}

}  // namespace

void add_compare_command(CLI::App& app) {
  CLI::App* command =
      app.add_subcommand("compare", "Tell which pivots differ between two measurements, and what that did");
  const auto options = std::make_shared<CompareCommandOptions>();
  command->add_option("before", options->before, "Hardpoint file measured first")
      ->required()
      ->option_text("BEFORE");
  command
      ->add_option("after", options->after, "Hardpoint file of the same corner later, or of the other side")
      ->required()
      ->option_text("AFTER");
  command->add_option("--on", options->on, "tags: lay them over each other on common body tags; axes: never")
      ->capture_default_str();
  command
      ->add_option("--touched", options->touched,
                   "Pivot that was worked on, all others were not; with .x, .y, .z or .stud when it can have "
                   "moved along that only; may come again")
      ->allow_extra_args(false)
      ->option_text("PIVOT");
  command->add_option("--sigma", options->sigma, "Standard uncertainty of a set that came without");
  command
      ->add_option("--false-alarms", options->false_alarms,
                   "Share of unchanged corners in which an alarm may come")
      ->check(CLI::Range(0.0001, 0.5))
      ->capture_default_str();
  command->add_option("--units", options->units, "Unit of the answer: mm or in")->capture_default_str();
  command->add_option("--report", options->report, "Write the report to this HTML file as well");
  command->add_option("--json", options->json, "Write the numbers to this file as well, for programs");
  command->add_flag("--force", options->force, "Replace the files if they exist");
  command->footer(
      std::string("Examples: pivotfix compare before/hardpoints.json after/hardpoints.json\n"
                  "          pivotfix compare left.json right.json --report sides.html\n"
                  "          pivotfix compare before.json after.json --touched rod-end.stud\n\n"
                  "Left and right are compared mirrored. Where both measurements name body_tags in\n"
                  "their job files and those stayed in place, the axes need not be the same.\n"
                  "--touched sees smaller shifts: the pivots that are not named are what it is\n"
                  "measured from, and are checked for having stayed.\n\n") +
      exit_codes_help);
  command->callback([options] { run_compare(*options); });
}

}  // namespace pivotfix
