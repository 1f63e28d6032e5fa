// SPDX-License-Identifier: Apache-2.0
// Measures that layout and drawing of the sheets share. Private to this folder.
#pragma once

namespace pivotfix {

inline constexpr double page_margin_mm = 9.0;     // most printers reach this far
inline constexpr double footer_height_mm = 34.0;  // rulers and text
inline constexpr double label_height_mm = 6.0;    // number under a tag; ticks round a strip
inline constexpr double cut_gap_mm = 0.5;         // keeps the cut line out of a tag's white
inline constexpr double smallest_side_mm = 8.0;   // below, a cell is coarser than printers hold true

}  // namespace pivotfix
