// SPDX-License-Identifier: Apache-2.0
#include <iostream>
#include <memory>

#include "acceptance/acceptance.h"
#include "cli/command.h"
#include "cli/job_options.h"

namespace pivotfix {
namespace {

struct AcceptOptions {
  JobOptions job{};
  std::string lengths{};
  std::string limit = "0.15 mm";
  std::string per_metre = "0 mm";
  std::string table{};
  bool force = false;
};

void run_accept(const AcceptOptions& options) {
  LengthErrorLimit limit;
  limit.constant_mm = length_option_mm("--limit", options.limit, LengthUnit::millimetre);
  limit.per_metre_mm = length_option_mm("--per-metre", options.per_metre, LengthUnit::millimetre);
  if (!(limit.constant_mm > 0.0) || limit.per_metre_mm < 0.0)
    throw Problem(ProblemKind::usage, "--limit: a limit below zero allows nothing.",
                  "Write it like --limit \"0.15 mm\".");
  const Job job = read_job(options.job.job);
  const std::vector<KnownLength> known = read_known_lengths(options.lengths);
  if (!options.table.empty()) check_may_write(options.table, options.force);
  Progress progress;
  const AdjustedJob adjusted = adjust_job(job, options.job.pipeline, progress);
  const Acceptance acceptance = judge_lengths(adjusted.network, known, limit);
  if (!options.table.empty()) write_whole_file(options.table, acceptance_csv(acceptance));
  print_notes(adjusted.notes, job.unit);
  std::cout << acceptance_text(acceptance);
  if (!acceptance.passed)
    throw Problem(ProblemKind::refused, "The test is not passed.",
                  "The table marks each length whose error is too large.");
}

}  // namespace

void add_accept_command(CLI::App& app) {
  CLI::App* command = app.add_subcommand(
      "accept", "Test the whole method on lengths that are known better than the photos tell");
  const auto options = std::make_shared<AcceptOptions>();
  add_photo_options(*command, options->job);
  command->add_option("--lengths", options->lengths, "File of known lengths between tags")
      ->required()
      ->option_text("FILE.toml");
  command->add_option("--limit", options->limit, "Allowed length error [0.15 mm]");
  command->add_option("--per-metre", options->per_metre, "Allowed on top for each metre of length [0 mm]");
  command->add_option("--table", options->table, "Write the table as CSV, too")->option_text("FILE.csv");
  command->add_flag("--force", options->force, "Write over a table that is there");
  command->footer(
      std::string("Example: pivotfix accept front-left.toml --lengths known-lengths.toml\n\n"
                  "After the idea of VDI/VDE 2634 part 1: known lengths in several directions through\n"
                  "the volume against the photos. Prints the table of length errors and the largest.\n"
                  "Ends with 4 when one is larger than allowed, so that a script can tell.\n"
                  "The file of known lengths: docs/job-file.md.\n\n") +
      exit_codes_help);
  command->callback([options] { run_accept(*options); });
}

}  // namespace pivotfix
