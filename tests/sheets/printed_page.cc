// SPDX-License-Identifier: Apache-2.0
#include "printed_page.h"

#include <gtest/gtest.h>

#include <cstdlib>
#include <fstream>

#include "base/temporary_folder.h"

namespace pivotfix {
namespace {

PrintedPage read_pgm(const std::filesystem::path& file, double px_per_mm) {
  std::ifstream stream(file, std::ios::binary);
  std::string magic;
  PrintedPage page;
  int white = 0;
  stream >> magic >> page.width_px >> page.height_px >> white;
  stream.get();
  EXPECT_EQ(magic, "P5") << file;
  EXPECT_EQ(white, 255);
  page.grey.resize(static_cast<std::size_t>(page.width_px) * static_cast<std::size_t>(page.height_px));
  stream.read(reinterpret_cast<char*>(page.grey.data()), static_cast<std::streamsize>(page.grey.size()));
  EXPECT_EQ(static_cast<std::size_t>(stream.gcount()), page.grey.size());
  page.px_per_mm = px_per_mm;
  return page;
}

}  // namespace

std::vector<PrintedPage> print_pdf(const std::filesystem::path& pdf, std::size_t pages, int dots_per_inch) {
  const TemporaryFolder folder;
  std::vector<PrintedPage> printed;
  for (std::size_t number = 1; number <= pages; ++number) {
    const std::string stem = (folder.path() / "page").string();
    const std::string command = std::string(PDFTOPPM) + " -gray -singlefile -r " +
                                std::to_string(dots_per_inch) + " -f " + std::to_string(number) + " '" +
                                pdf.string() + "' " + stem;
    EXPECT_EQ(std::system(command.c_str()), 0) << command;
    printed.push_back(read_pgm(stem + ".pgm", dots_per_inch / 25.4));
  }
  return printed;
}

}  // namespace pivotfix
