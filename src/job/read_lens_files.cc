// SPDX-License-Identifier: Apache-2.0
#include "job/job.h"
#include "job/job_parts.h"

namespace pivotfix {

namespace fs = std::filesystem;

std::vector<LensFile> read_lens_files(const Job& job, const std::vector<std::string>& more_files) {
  std::vector<LensFile> lenses;
  const auto read = [&](const fs::path& file) {
    lenses.push_back(parse_lens_file(
        text_of_file(file, "lens file", "Check the path, or calibrate the camera: pivotfix lens"),
        file.string()));
  };
  for (const PhotoPattern& named : job.lens_files) read(job.file.parent_path() / named.text);
  for (const std::string& file : more_files) read(file);
  return lenses;
}

}  // namespace pivotfix
