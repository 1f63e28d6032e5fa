// SPDX-License-Identifier: Apache-2.0
// Stands in for libFuzzer where only the kept inputs are run: files and folders of files.
#include <filesystem>
#include <fstream>
#include <iterator>
#include <vector>

#include "fuzz/fuzz.h"

namespace {

void replay(const std::filesystem::path& file) {
  std::ifstream stream(file, std::ios::binary);
  const std::string bytes{std::istreambuf_iterator<char>(stream), std::istreambuf_iterator<char>()};
  std::fprintf(stderr, "%s\n", file.c_str());  // the last one named is the one that broke it
  LLVMFuzzerTestOneInput(reinterpret_cast<const std::uint8_t*>(bytes.data()), bytes.size());
}

}  // namespace

int main(int count, char** arguments) {
  int files = 0;
  for (int i = 1; i < count; ++i) {
    const std::filesystem::path named = arguments[i];
    if (!std::filesystem::is_directory(named)) {
      replay(named);
      ++files;
      continue;
    }
    for (const auto& entry : std::filesystem::directory_iterator(named)) {
      replay(entry.path());
      ++files;
    }
  }
  if (files > 0) return EXIT_SUCCESS;
  std::fprintf(stderr, "no input to replay\n");
  return EXIT_FAILURE;
}
