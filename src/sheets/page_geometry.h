// SPDX-License-Identifier: Apache-2.0
// Measures that layout and drawing of the sheets share. Private to this folder.
#pragma once

#include "base/units.h"
#include "sheets/sheets.h"

namespace pivotfix {

struct PaperSize {
  double short_mm = 0.0, long_mm = 0.0;
};

inline PaperSize size_of(Paper paper) {
  return paper == Paper::a4 ? PaperSize{210.0, 297.0} : PaperSize{8.5 * mm_per_inch, 11.0 * mm_per_inch};
}

inline constexpr double caption_height_mm = 10.0;  // below a board
inline constexpr double page_margin_mm = 9.0;      // most printers reach this far
inline constexpr double footer_height_mm = 34.0;   // rulers and text
inline constexpr double label_height_mm = 6.0;     // number under a tag; ticks round a strip
inline constexpr double cut_gap_mm = 0.5;          // keeps the cut line out of a tag's white
inline constexpr double smallest_side_mm = 8.0;    // below, a cell is coarser than printers hold true

}  // namespace pivotfix
