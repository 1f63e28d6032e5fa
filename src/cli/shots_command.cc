// SPDX-License-Identifier: Apache-2.0
#include <iostream>
#include <memory>

#include "cli/command.h"
#include "cli/job_options.h"
#include "report/report.h"

namespace pivotfix {
namespace {

void run_shots(const JobOptions& options) {
  const Job job = read_job(options.job);
  Progress progress;
  const LocatedJob located = locate_job(job, options.pipeline, progress);
  progress.show("trying places to stand");
  const std::string text = shots_text(next_shots(job, located), job.unit);
  progress.clear();
  print_notes(located.notes, job.unit);
  std::cout << text;
}

}  // namespace

void add_shots_command(CLI::App& app) {
  CLI::App* command =
      app.add_subcommand("shots", "Say where to stand for the next photos, before any tag is taken off");
  const auto options = std::make_shared<JobOptions>();
  add_photo_options(*command, *options);
  command->footer(
      std::string("Example: pivotfix shots front-left.toml\n\n"
                  "Names the two or three places from which one more photo would make the answer\n"
                  "surer, what it would then be, and what is weak now. Writes nothing.\n\n") +
      exit_codes_help);
  command->callback([options] { run_shots(*options); });
}

}  // namespace pivotfix
