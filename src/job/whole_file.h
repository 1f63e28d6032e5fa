// SPDX-License-Identifier: Apache-2.0
// Files that appear whole or not at all.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace pivotfix {

struct FileToWrite {
  std::filesystem::path file{};
  std::string content{};
};

// Writes through temporary files in the same folders, synced and renamed: a file appears whole or not at all,
// and nothing is renamed before all are written. Throws Problem(input) naming the file.
void write_whole_files(const std::vector<FileToWrite>& files);
void write_whole_file(const std::filesystem::path& file, const std::string& content);

// The same, but what stands there with other content stays beside it, as "report.1.html" or the next free
// number. At no moment is there no file of the name.
struct KeptFile {
  std::filesystem::path file{};
  std::filesystem::path kept_as{};
};
std::vector<KeptFile> write_and_keep_earlier(const std::vector<FileToWrite>& files);

}  // namespace pivotfix
