// SPDX-License-Identifier: Apache-2.0
#include <fstream>
#include <sstream>

#include "job/job_parts.h"

namespace pivotfix {

std::string text_of_file(const std::filesystem::path& file, const std::string& noun,
                         const std::string& instead) {
  if (std::filesystem::is_directory(file))
    throw Problem(ProblemKind::input, "This is a folder, not a " + noun + ".", "Name the file in it.",
                  Place{file.string()});
  std::ifstream stream(file, std::ios::binary);
  if (!stream)
    throw Problem(ProblemKind::input, "There is no " + noun + " of this name that can be read.",
                  "Check the path, or " + instead, Place{file.string()});
  std::ostringstream text;
  text << stream.rdbuf();
  return text.str();
}

}  // namespace pivotfix
