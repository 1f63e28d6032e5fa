// SPDX-License-Identifier: Apache-2.0
// A PDF page as a printer would put it on paper: grey values at a given resolution, by poppler's pdftoppm.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

namespace pivotfix {

struct PrintedPage {
  int width_px = 0;
  int height_px = 0;
  std::vector<std::uint8_t> grey{};
  double px_per_mm = 0.0;

  // Grey value of the pixel that holds the place `x_mm`, `y_mm` from the page's top left corner.
  int at_mm(double x_mm, double y_mm) const {
    const int column = static_cast<int>(x_mm * px_per_mm);
    const int row = static_cast<int>(y_mm * px_per_mm);
    return grey.at(static_cast<std::size_t>(row) * static_cast<std::size_t>(width_px) +
                   static_cast<std::size_t>(column));
  }
};

std::vector<PrintedPage> print_pdf(const std::filesystem::path& pdf, std::size_t pages, int dots_per_inch);

}  // namespace pivotfix
