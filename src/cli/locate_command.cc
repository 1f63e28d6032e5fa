// SPDX-License-Identifier: Apache-2.0
#include <iostream>
#include <memory>

#include "cli/command.h"
#include "cli/diagnosis.h"
#include "cli/job_options.h"
#include "report/report.h"

namespace pivotfix {
namespace {

void locate_into(const std::filesystem::path& folder, const Job& job, const JobOptions& options,
                 FoundSoFar& so_far) {
  Progress progress;
  const LocatedJob located = locate_job(job, options.pipeline, progress, &so_far);
  const std::string text = locate_text(located.hardpoints, located.network, job.unit) + "\n" +
                           photo_sets_text(photo_set_figures(located), job.unit);
  const std::vector<FileToWrite> files = hardpoint_files(located.hardpoints, folder);
  const std::string kept = write_results(folder, files, options);
  print_notes(located.notes, job.unit);
  std::cout << text << "\nWrote " << files[0].file.string() << " and " << files[1].file.string()
            << ". Then: " << later_command(options, job, files[0].file) << "\n"
            << kept;
}

void run_locate(const JobOptions& options) {
  const Job job = read_job(options.job);
  const std::filesystem::path folder = result_folder(options);
  or_diagnose(job, folder, [&](FoundSoFar& so_far) { locate_into(folder, job, options, so_far); });
}

}  // namespace

void add_locate_command(CLI::App& app) {
  CLI::App* command = app.add_subcommand("locate", "Find the pivots from the photos that a job file names");
  const auto options = std::make_shared<JobOptions>();
  add_job_options(*command, *options);
  command->footer(
      std::string("Example: pivotfix locate front-left.toml\n\n"
                  "Prints the pivots with their uncertainties and writes hardpoints.json and\n"
                  "hardpoints.csv: millimetres, x forward, y left, z up from the ground below the\n"
                  "front axle's middle. The printed table is in the job's units. Then: pivotfix steer\n"
                  "When it refuses, it says why and writes only diagnosis.txt.\n\n") +
      exit_codes_help);
  command->callback([options] { run_locate(*options); });
}

}  // namespace pivotfix
