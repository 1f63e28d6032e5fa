// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <iostream>
#include <memory>

#include "advice/advice.h"
#include "advice/recorded_height.h"
#include "cli/command.h"
#include "cli/diagnosis.h"
#include "cli/figure_options.h"
#include "cli/job_options.h"
#include "cli/thumbnails.h"
#include "report/report.h"

namespace pivotfix {
namespace {

void run_into(const std::filesystem::path& folder, const Job& job, const JobOptions& options,
              FoundSoFar& so_far) {
  Progress progress;
  LocatedJob located = locate_job(job, options.pipeline, progress, &so_far);
  progress.show("working out the corner");
  ReportInput input;
  input.title = job.title;
  input.program_version = program_version;
  input.unit = job.unit;
  const AtRecordedHeight at_height = at_recorded_height(located.hardpoints);
  input.hardpoints = at_height.hardpoints;
  input.rod_end = job.rod_end;
  const AdviceQuestion question{at_height.hardpoints, job.rod_end, job.driving,
                                at_height.hardpoints.readings};
  input.advice = advise(question);
  if (!at_height.words.empty()) input.advice.sentences.push_back(at_height.words);
  input.exploration = explore(question, input.advice);
  input.figures = figures_for({}, question, job.unit);
  input.photo_sets = photo_set_figures(located);
  input.notes = located.as_located.notes;
  input.next_shots = next_shots(job, located);
  progress.show("making thumbnails");
  input.tags_in_photos = std::move(located.tags_in_photos);
  input.thumbnails = thumbnails_of(job, options.pipeline);
  input.network = std::move(located.network);
  const std::filesystem::path report = folder / "report.html";
  std::vector<FileToWrite> files = hardpoint_files(located.hardpoints, folder);
  files.push_back({report, report_html(input)});
  const std::string text = steer_text(input);
  const std::string kept = write_results(folder, files, options);
  progress.clear();
  // What locating met stands in the answer.
  std::erase_if(located.notes, [&](const std::string& note) {
    return std::find(input.notes.begin(), input.notes.end(), note) != input.notes.end();
  });
  print_notes(located.notes, job.unit);
  std::cout << text << "\nThe whole report: " << report.string() << "\nThe pivots: " << files[0].file.string()
            << ", " << files[1].file.string()
            << "\nLater questions: " << later_command(options, job, files[0].file) << "\n"
            << kept;
}

void run_all(const JobOptions& options) {
  const Job job = read_job(options.job);
  const std::filesystem::path folder = result_folder(options);
  or_diagnose(job, folder, [&](FoundSoFar& so_far) { run_into(folder, job, options, so_far); });
}

}  // namespace

void add_run_command(CLI::App& app) {
  CLI::App* command =
      app.add_subcommand("run", "Do all: find the pivots, advise on spacers, write the report");
  const auto options = std::make_shared<JobOptions>();
  add_job_options(*command, *options);
  command->footer(
      std::string("Example: pivotfix run front-left.toml -o results\n\n"
                  "Prints the answer and writes report.html, hardpoints.json and hardpoints.csv.\n"
                  "Earlier ones that differ are kept: report.1.html and so on.\n"
                  "When it refuses, it says why and writes only diagnosis.txt.\n\n") +
      exit_codes_help);
  command->callback([options] { run_all(*options); });
}

}  // namespace pivotfix
