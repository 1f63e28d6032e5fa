// SPDX-License-Identifier: Apache-2.0
#include "cli/job_options.h"

#include <iostream>

namespace pivotfix {

void add_job_options(CLI::App& command, JobOptions& options) {
  add_photo_options(command, options);
  command.add_option("-o,--output", options.folder,
                     "Folder for the results, made when it is missing [the job's folder]");
}

void add_photo_options(CLI::App& command, JobOptions& options) {
  command.add_option("job", options.job, "Job file")->required()->option_text("JOB.toml");
  command.add_option("--threads", options.pipeline.threads, "Photos read at the same time [one per core]")
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
  if (fs::exists(options.folder) && !fs::is_directory(options.folder))
    throw Problem(ProblemKind::input, "This is a file, and the results need a folder.",
                  "Name another folder: --output FOLDER", Place{options.folder});
  return options.folder;
}

void write_results(const std::filesystem::path& folder, const std::vector<FileToWrite>& files) {
  std::error_code error;
  if (!folder.empty()) std::filesystem::create_directories(folder, error);
  if (error)
    throw Problem(ProblemKind::input, "The folder for the results cannot be made: " + error.message() + ".",
                  "Name another one: --output FOLDER", Place{folder.string()});
  write_whole_files(files);
}

std::vector<FileToWrite> hardpoint_files(const HardpointSet& set, const std::filesystem::path& folder) {
  return {{folder / "hardpoints.json", hardpoints_to_json(set)},
          {folder / "hardpoints.csv", hardpoints_to_csv(set)}};
}

void print_notes(const std::vector<std::string>& notes) {
  for (const std::string& note : notes) std::cerr << "pivotfix: note: " << note << "\n";
}

}  // namespace pivotfix
