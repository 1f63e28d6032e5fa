// SPDX-License-Identifier: Apache-2.0
#include "cli/job_options.h"

#include <iostream>

#include "cli/command.h"
#include "cli/hardpoint_reading.h"
#include "page/numbers.h"
#include "page/text_layout.h"

namespace pivotfix {

void add_job_options(CLI::App& command, JobOptions& options) {
  add_photo_options(command, options);
  command.add_option("-o,--output", options.folder,
                     "Folder for the results, made when it is missing [the job's folder]");
  command.add_flag("--force", options.force,
                   "Replace earlier results instead of keeping them under a number");
}

void add_photo_options(CLI::App& command, JobOptions& options) {
  command.add_option("job", options.job, "Job file")->required()->option_text("JOB.toml");
  command.add_option("--threads", options.pipeline.threads, "Threads to work on [one per core]")
      ->check(CLI::Range(1, 1024));
  command.add_option("--lens", options.pipeline.lens_files, "Lens files besides those of the job")
      ->option_text("FILE");
  options.pipeline.keep_found_tags = true;
  command.add_flag_callback(
      "--no-cache", [&options] { options.pipeline.keep_found_tags = false; },
      "Look for tags in every photo anew; keep and use nothing in .pivotfix-cache");
  command.add_flag("--skip-broken", options.pipeline.skip_broken, "Go on without photos that cannot be read");
}

std::filesystem::path result_folder(const JobOptions& options) {
  namespace fs = std::filesystem;
  if (options.folder.empty()) return fs::path(options.job).parent_path();
  std::error_code error;
  const fs::file_status status = fs::status(options.folder, error);
  if (status.type() == fs::file_type::none)  // not even whether it is there
    throw Problem(ProblemKind::input, "Cannot look at the folder: " + error.message() + ".",
                  "Name another folder: --output FOLDER", Place{options.folder});
  if (fs::exists(status) && !fs::is_directory(status))
    throw Problem(ProblemKind::input, "This is a file, and the results need a folder.",
                  "Name another folder: --output FOLDER", Place{options.folder});
  return options.folder;
}

void make_result_folder(const std::filesystem::path& folder) {
  std::error_code error;
  if (!folder.empty()) std::filesystem::create_directories(folder, error);
  if (error)
    throw Problem(ProblemKind::input, "The folder for the results cannot be made: " + error.message() + ".",
                  "Name another one: --output FOLDER", Place{folder.string()});
}

std::string later_command(const JobOptions& options, const Job& job,
                          const std::filesystem::path& hardpoints) {
  if (options.folder.empty() && is_job_name(options.job)) return "pivotfix steer " + shell_word(options.job);
  return steer_command_for(hardpoints.string(), job.unit);
}

std::vector<FileToWrite> hardpoint_files(const HardpointSet& set, const std::filesystem::path& folder) {
  return {{folder / "hardpoints.json", hardpoints_to_json(set)},
          {folder / "hardpoints.csv", hardpoints_to_csv(set)}};
}

std::string write_results(const std::filesystem::path& folder, const std::vector<FileToWrite>& files,
                          const JobOptions& options) {
  make_result_folder(folder);
  if (options.force) {
    write_whole_files(files);
    return {};
  }
  std::string lines;
  for (const KeptFile& kept : write_and_keep_earlier(files))
    lines += "The earlier " + report::printable(kept.file.filename().string()) + " is kept as " +
             report::printable(kept.kept_as.filename().string()) + ".\n";
  return lines;
}

void print_notes(const std::vector<std::string>& notes, LengthUnit unit) {
  for (const std::string& note : notes)
    std::cerr << "pivotfix: note: " << report::printable(report::lengths_in(note, unit)) << "\n";
}

}  // namespace pivotfix
