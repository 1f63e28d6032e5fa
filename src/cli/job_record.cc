// SPDX-License-Identifier: Apache-2.0
#include "cli/job_record.h"

#include <algorithm>

#include "photos/photo_file.h"

namespace pivotfix {
namespace {

namespace fs = std::filesystem;

// "2026-05-17" of "2026:05:17 14:03:59"; empty when it is not of that form.
std::string day_of(const std::string& taken) {
  std::string day = taken.substr(0, 10);
  std::replace(day.begin(), day.end(), ':', '-');
  return is_day(day) ? day : std::string();
}

InputFile input_file(const fs::path& file, const std::string& name) {
  return {name, read_photo_file(file, name).checksum};
}

}  // namespace

Record record_of(const Job& job, const PipelineOptions& options, const FoundTags& found) {
  Record record = job.record;
  if (record.date.empty()) record.date = day_of(found.first_taken);
  record.method = method_photos;
  record.files.push_back({job.file.filename().string(), job.checksum});
  for (const PhotoPattern& lens : job.lens_files)
    record.files.push_back(input_file(job.file.parent_path() / lens.text, lens.text));
  for (const std::string& lens : options.lens_files) {
    record.files.push_back(input_file(lens, lens));
    record.options.push_back("--lens " + lens);
  }
  record.files.insert(record.files.end(), found.files.begin(), found.files.end());
  if (options.skip_broken) record.options.push_back("--skip-broken");
  return record;
}

}  // namespace pivotfix
