// SPDX-License-Identifier: Apache-2.0
// The program as a process: what it printed where, and how it ended; in a folder of its own.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "base/temporary_folder.h"

namespace pivotfix {

struct Outcome {
  int exit_code = -1;  // 128 + signal when a signal ended it
  std::string out{};
  std::string err{};
};

class Workshop {
 public:
  // Runs pivotfix in the folder. `out` replaces the file that stdout goes to.
  Outcome run(const std::vector<std::string>& arguments, const std::string& out = "") const;

  const std::filesystem::path& folder() const { return folder_.path(); }
  void write(const std::string& name, const std::string& content) const;
  void copy_data(const std::string& data_name, const std::string& name) const;
  std::string read(const std::string& name) const;
  // Writes a length in place of each "?" of a new job.
  void fill_in(const std::string& job) const;
  bool has(const std::string& name) const;
  std::vector<std::string> files() const;  // all, sorted, relative to the folder

 private:
  TemporaryFolder folder_{};
};

}  // namespace pivotfix
