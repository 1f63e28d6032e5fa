// SPDX-License-Identifier: Apache-2.0
// Writes reference.md, pivotfix.1 and pivotfix.bash into the folder that is named: part of the build, not
// installed.
#include <fstream>
#include <iostream>
#include <string>

#include "cli/documents.h"
#include "cli/program.h"

namespace {

bool write(const std::string& file, const std::string& content) {
  std::ofstream stream(file, std::ios::binary);
  stream << content;
  return static_cast<bool>(stream.flush());
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2) {
    std::cerr << "usage: pivotfix_documents FOLDER\n";
    return 2;
  }
  const auto program = pivotfix::make_program();
  const std::string folder = argv[1];
  return write(folder + "/reference.md", pivotfix::reference_markdown(*program)) &&
                 write(folder + "/pivotfix.1", pivotfix::man_page(*program)) &&
                 write(folder + "/pivotfix.bash", pivotfix::bash_completion(*program))
             ? 0
             : 3;
}
