// SPDX-License-Identifier: Apache-2.0
#include <iostream>
#include <memory>

#include "cli/command.h"
#include "cli/hardpoint_reading.h"
#include "job/whole_file.h"

namespace pivotfix {
namespace {

struct ConvertOptions {
  std::string from{};
  std::string to{};
  std::string side{};
  std::string layout{};
  std::string title{};
  bool force = false;
};

std::string written_as(const HardpointSet& set, const std::string& file) {
  const std::string ending = ending_of(file);
  if (ending == ".json") return hardpoints_to_json(set);
  if (ending == ".csv") return hardpoints_to_csv(set);
  if (ending == ".dxf") return hardpoints_to_dxf(set);
  throw Problem(ProblemKind::usage, "\"" + file + "\": no file of this kind can be written.",
                "Known are .json, .csv for spreadsheets and .dxf for CAD.");
}

void run_convert(const ConvertOptions& options) {
  CsvHints hints;
  if (!options.side.empty()) hints.side = from_option("--side", [&] { return side_from_name(options.side); });
  if (!options.layout.empty())
    hints.layout = from_option("--layout", [&] { return layout_from_name(options.layout); });
  HardpointSet set = read_hardpoints(options.from, hints);
  if (hints.side && *hints.side != set.side)
    throw Problem(ProblemKind::usage, "--side: the file says " + std::string(name_of(set.side)) + ".",
                  "Leave the option out.");
  if (hints.layout && *hints.layout != set.layout)
    throw Problem(ProblemKind::usage, "--layout: the file says " + std::string(name_of(set.layout)) + ".",
                  "Leave the option out.");
  if (!options.title.empty()) set.title = options.title;
  set.program_version = program_version;
  const std::string content = written_as(set, options.to);
  check_may_write(options.to, options.force);
  write_whole_file(options.to, content);
  std::cout << "Wrote " << options.to << ": " << set.points.size() << " hardpoints, " << words_of(set.layout)
            << ", " << name_of(set.side) << ".\n";
}

}  // namespace

void add_convert_command(CLI::App& app) {
  CLI::App* command =
      app.add_subcommand("convert", "Turn a hardpoint file into another kind: JSON, spreadsheet, CAD");
  const auto options = std::make_shared<ConvertOptions>();
  command->add_option("from", options->from, "Hardpoint file to read: .json or .csv")
      ->required()
      ->option_text("FROM");
  command->add_option("to", options->to, "File to write: .json, .csv or .dxf")->required()->option_text("TO");
  command->add_option("--side", options->side, "left or right, where a CSV file's points do not tell");
  command->add_option("--layout", options->layout, "Layout, where a CSV file's points do not tell");
  command->add_option("--title", options->title, "Title to write");
  command->add_flag("--force", options->force, "Replace the file if it exists");
  command->footer(std::string("Examples: pivotfix convert hardpoints.json hardpoints.dxf\n"
                              "          pivotfix convert typed.csv hardpoints.json --title \"club car\"\n\n"
                              "A spreadsheet and a drawing hold the points only; JSON holds everything.\n"
                              "The columns and fields: docs/hardpoint-file.md.\n\n") +
                  exit_codes_help);
  command->callback([options] { run_convert(*options); });
}

}  // namespace pivotfix
