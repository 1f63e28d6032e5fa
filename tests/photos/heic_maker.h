// SPDX-License-Identifier: Apache-2.0
// HEIC photos made by libheif's own encoder program.
#pragma once

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <vector>

#include "base/problem.h"

namespace pivotfix {

// Beside the JPEG or PNG file, with the ending .heic.
inline std::filesystem::path heic_of(const std::filesystem::path& picture) {
  std::filesystem::path heic = picture;
  heic.replace_extension(".heic");
  const std::string command =
      std::string(HEIF_ENC) + " -q 95 '" + picture.string() + "' -o '" + heic.string() + "' > /dev/null 2>&1";
  if (std::system(command.c_str()) != 0 || !std::filesystem::exists(heic))
    throw Problem(ProblemKind::internal, "heif-enc failed.", "");
  return heic;
}

inline std::vector<std::uint8_t> bytes_of(const std::filesystem::path& file) {
  std::ifstream stream(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(stream), std::istreambuf_iterator<char>()};
}

}  // namespace pivotfix
