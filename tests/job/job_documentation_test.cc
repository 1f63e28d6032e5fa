// SPDX-License-Identifier: Apache-2.0
// docs/job-file.md explains exactly the keys that the reader knows. Its tables have rows like
// "| `stand_off` | ...", under headings like "## `[hardpoint.NAME]`".
#include <gtest/gtest.h>

#include <map>
#include <set>
#include <sstream>

#include "base/temporary_folder.h"
#include "job/job.h"

namespace pivotfix {
namespace {

std::string between_first_backticks(const std::string& line) {
  const std::size_t first = line.find('`');
  const std::size_t second = line.find('`', first + 1);
  return second == std::string::npos ? "" : line.substr(first + 1, second - first - 1);
}

std::map<std::string, std::set<std::string>> documented_keys() {
  std::istringstream text(content_of(std::string(PIVOTFIX_SOURCE_DIR) + "/docs/job-file.md"));
  std::map<std::string, std::set<std::string>> keys;
  std::string section = "none";
  for (std::string line; std::getline(text, line);) {
    if (line.starts_with("## ")) {
      section = between_first_backticks(line);
      std::erase_if(section, [](char c) { return c == '[' || c == ']'; });
    }
    if (line.starts_with("| `")) keys[section].insert(between_first_backticks(line));
  }
  return keys;
}

TEST(JobDocumentation, HasEveryKeyOfTheReaderAndNoOther) {
  std::map<std::string, std::set<std::string>> known;
  for (const JobSection& section : job_sections())
    known[section.name] = {section.keys.begin(), section.keys.end()};
  EXPECT_EQ(documented_keys(), known);
}

}  // namespace
}  // namespace pivotfix
