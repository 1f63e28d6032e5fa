// SPDX-License-Identifier: Apache-2.0
#include "cli/hardpoint_reading.h"

#include <filesystem>

#include "job/text_file.h"

namespace pivotfix {

std::string hardpoint_text(const std::string& file, const std::string& remedy) {
  return text_of_file(file, "hardpoint file", remedy);
}

std::string ending_of(const std::string& file) {
  std::string ending = std::filesystem::path(file).extension().string();
  for (char& c : ending)
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  return ending;
}

bool is_job_name(const std::string& file) {
  return ending_of(file) == ".toml";
}

HardpointSet read_hardpoints(const std::string& file, const CsvHints& hints) {
  const std::string text = hardpoint_text(file, "Check the path.");
  return ending_of(file) == ".csv" ? hardpoints_from_csv(text, file, hints)
                                   : hardpoints_from_json(text, file);
}

}  // namespace pivotfix
