// SPDX-License-Identifier: Apache-2.0
#include "job/text_file.h"

#include <fstream>

#include "base/problem.h"

namespace pivotfix {
namespace {

constexpr std::uintmax_t longest_text = 4'000'000;

[[noreturn]] void refuse(const std::filesystem::path& file, const std::string& what,
                         const std::string& remedy) {
  throw Problem(ProblemKind::input, what, remedy, Place{file.string()});
}

}  // namespace

std::string text_of_file(const std::filesystem::path& file, const std::string& noun,
                         const std::string& remedy) {
  const std::string cannot_be_read = "There is no " + noun + " of this name that can be read.";
  std::error_code error;
  const auto status = std::filesystem::status(file, error);
  if (!std::filesystem::exists(status)) refuse(file, cannot_be_read, remedy);
  if (std::filesystem::is_directory(status))
    refuse(file, "This is a folder, not a " + noun + ".", "Name the file in it.");
  // A pipe or a device may wait for ever, or have no end.
  if (!std::filesystem::is_regular_file(status)) refuse(file, "This is no ordinary file.", remedy);
  const std::uintmax_t size = std::filesystem::file_size(file, error);
  if (error) refuse(file, cannot_be_read, remedy);
  if (size > longest_text) refuse(file, "The file is larger than 4 MB: it is no " + noun + ".", remedy);
  std::string text(static_cast<std::size_t>(size), '\0');
  std::ifstream stream(file, std::ios::binary);
  if (!stream) refuse(file, cannot_be_read, remedy);
  stream.read(text.data(), static_cast<std::streamsize>(text.size()));
  text.resize(static_cast<std::size_t>(stream.gcount()));
  return text;
}

}  // namespace pivotfix
