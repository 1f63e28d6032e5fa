// SPDX-License-Identifier: Apache-2.0
#include <iostream>
#include <memory>

#include "cli/command.h"
#include "cli/hardpoint_reading.h"
#include "club_report/pooling.h"
#include "job/whole_file.h"

namespace pivotfix {
namespace {

struct PoolCommandOptions {
  std::vector<std::string> files{};
  std::vector<std::string> without{};
  std::string output = "pool.json";
  std::string title{};
  std::string side{};
  std::string sigma{};
  double false_alarms = 0.05;
  bool of_the_mean = false;
  std::string units = "mm";
  std::string report{};
  bool force = false;
};

PoolOptions options_from(const PoolCommandOptions& options, LengthUnit unit) {
  PoolOptions result;
  result.of_the_mean = options.of_the_mean;
  result.false_alarms = options.false_alarms;
  if (!options.sigma.empty()) result.assumed_sigma_mm = positive_option_mm("--sigma", options.sigma, unit);
  if (!options.side.empty())
    result.side = from_option("--side", [&] { return side_from_name(options.side); });
  return result;
}

void run_pool(const PoolCommandOptions& options) {
  const LengthUnit unit = unit_option(options.units);
  const PoolOptions how = options_from(options, unit);
  std::vector<PoolMember> members;
  for (const std::string& file : options.files)
    for (PoolMember& member : members_of(read_hardpoints(file), file)) members.push_back(std::move(member));
  for (const std::string& label : options.without) take_out(label, members);
  for (const std::string& file : {options.output, options.report})
    if (!file.empty()) check_may_write(file, options.force);
  PoolReport report{pool(std::move(members), how), program_version, unit};
  HardpointSet& result = report.pool.result;
  if (!options.title.empty()) result.title = options.title;
  result.program_version = program_version;
  const std::string text = pool_text(report);
  std::vector<FileToWrite> files{{options.output, hardpoints_to_json(result)}};
  if (!options.report.empty()) files.push_back({options.report, pool_html(report)});
  write_whole_files(files);
  std::cout << text << "\nWrote " << options.output << ". Then: " << steer_command_for(options.output, unit)
            << "\n";
  if (!options.report.empty()) std::cout << "The whole report: " << options.report << "\n";
}

}  // namespace

void add_pool_command(CLI::App& app) {
  CLI::App* command = app.add_subcommand("pool", "Make one set of pivots from several cars of one chassis");
  const auto options = std::make_shared<PoolCommandOptions>();
  command->add_option("files", options->files, "Hardpoint files, pools among them, in any order")
      ->required()
      ->option_text("HARDPOINTS...");
  command->add_option("-o,--output", options->output, "Hardpoint file to write")->capture_default_str();
  command->add_option("--without", options->without, "Take the car of this name out; may come again")
      ->allow_extra_args(false)
      ->option_text("CAR");
  command->add_option("--title", options->title, "Title of the result");
  command->add_option("--side", options->side,
                      "Side of the result: left or right [left, unless all are right]");
  command->add_option("--sigma", options->sigma, "Standard uncertainty of a set that came without");
  command
      ->add_option("--false-alarms", options->false_alarms,
                   "Share of pools of like cars in which one may be called odd")
      ->check(CLI::Range(0.002, 0.5))
      ->capture_default_str();
  command->add_flag("--mean", options->of_the_mean,
                    "State the uncertainty of the mean, not that of one more car of the chassis");
  command->add_option("--units", options->units, "Unit of the answer: mm or in")->capture_default_str();
  command->add_option("--report", options->report, "Write a report to this HTML file as well");
  command->add_flag("--force", options->force, "Replace the files if they exist");
  command->footer(
      std::string("Examples: pivotfix pool car-*.json -o chassis.json\n"
                  "          pivotfix pool chassis.json car-9.json -o chassis.json --force\n"
                  "          pivotfix pool chassis.json --without \"car 3\" -o chassis.json --force\n\n"
                  "Names odd cars, tells how much the cars differ apart from how well each was\n"
                  "measured, and writes a hardpoint file for \"pivotfix steer\", which holds all the\n"
                  "sets it was made from. The other side is mirrored.\n\n") +
      exit_codes_help);
  command->callback([options] { run_pool(*options); });
}

}  // namespace pivotfix
