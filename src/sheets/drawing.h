// SPDX-License-Identifier: Apache-2.0
// Pens for the printed pages, in millimetres from the page's top left corner. Private to this folder.
#pragma once

#include <cairo.h>

#include <functional>
#include <string>
#include <vector>

#include "sheets/sheets.h"

namespace pivotfix {

enum class Align { left, centre };

void set_grey(cairo_t* pen, double grey);
void draw_line(cairo_t* pen, double x0_mm, double y0_mm, double x1_mm, double y1_mm, double width_mm = 0.2);
void draw_text(cairo_t* pen, double x_mm, double baseline_mm, double size_mm, const std::string& text,
               Align align = Align::left);
void draw_tag(cairo_t* pen, const PrintedTag& tag);
void draw_cut_lines(cairo_t* pen, const CutPiece& piece);
// One of 100 mm and one of 4 inches.
void draw_rulers(cairo_t* pen, double left_mm, double top_mm);

struct PageSize {
  double width_mm = 0.0, height_mm = 0.0;
};
// A vector PDF without a date; `draw` draws the page of that index.
std::string pdf_of(const std::string& title, const std::vector<PageSize>& sizes,
                   const std::function<void(cairo_t*, std::size_t)>& draw);

}  // namespace pivotfix
