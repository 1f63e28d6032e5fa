// SPDX-License-Identifier: Apache-2.0
#include "sheets/drawing.h"

#include <cairo-pdf.h>

#include <memory>

#include "base/problem.h"
#include "base/units.h"
#include "sheets/outline.h"
#include "tags/tags.h"

namespace pivotfix {
namespace {

constexpr double points_per_mm = 72.0 / mm_per_inch;

using Surface = std::unique_ptr<cairo_surface_t, decltype(&cairo_surface_destroy)>;
using Pen = std::unique_ptr<cairo_t, decltype(&cairo_destroy)>;

cairo_status_t append_bytes(void* closure, const unsigned char* data, unsigned int length) {
  static_cast<std::string*>(closure)->append(reinterpret_cast<const char*>(data), length);
  return CAIRO_STATUS_SUCCESS;
}

struct RulerMark {
  double x_mm;
  double height_mm;
  int number;  // -1: none
};

void draw_ruler(cairo_t* pen, double left_mm, double y_mm, const std::vector<RulerMark>& marks,
                const std::string& unit) {
  draw_line(pen, left_mm, y_mm, left_mm + marks.back().x_mm, y_mm, 0.15);
  for (const RulerMark& mark : marks) {
    draw_line(pen, left_mm + mark.x_mm, y_mm, left_mm + mark.x_mm, y_mm - mark.height_mm, 0.15);
    if (mark.number >= 0)
      draw_text(pen, left_mm + mark.x_mm, y_mm + 2.8, 2.5, std::to_string(mark.number), Align::centre);
  }
  draw_text(pen, left_mm + marks.back().x_mm + 2.5, y_mm + 0.5, 2.8, unit);
}

std::vector<RulerMark> millimetre_marks() {
  std::vector<RulerMark> marks;
  for (int mm = 0; mm <= 100; ++mm)
    marks.push_back({static_cast<double>(mm),
                     mm % 10 == 0  ? 3.5
                     : mm % 5 == 0 ? 2.5
                                   : 1.5,
                     mm % 10 == 0 ? mm : -1});
  return marks;
}

std::vector<RulerMark> inch_marks() {
  std::vector<RulerMark> marks;
  for (int sixteenth = 0; sixteenth <= 64; ++sixteenth)
    marks.push_back({sixteenth * mm_per_inch / 16.0,
                     sixteenth % 16 == 0  ? 3.5
                     : sixteenth % 4 == 0 ? 2.5
                                          : 1.5,
                     sixteenth % 16 == 0 ? sixteenth / 16 : -1});
  return marks;
}

}  // namespace

void set_grey(cairo_t* pen, double grey) {
  cairo_set_source_rgb(pen, grey, grey, grey);
}

void draw_line(cairo_t* pen, double x0_mm, double y0_mm, double x1_mm, double y1_mm, double width_mm) {
  cairo_set_line_width(pen, width_mm);
  cairo_move_to(pen, x0_mm, y0_mm);
  cairo_line_to(pen, x1_mm, y1_mm);
  cairo_stroke(pen);
}

void draw_text(cairo_t* pen, double x_mm, double baseline_mm, double size_mm, const std::string& text,
               Align align) {
  cairo_set_font_size(pen, size_mm);
  if (align == Align::centre) {
    cairo_text_extents_t extents;
    cairo_text_extents(pen, text.c_str(), &extents);
    x_mm -= extents.x_advance / 2.0;
  }
  cairo_move_to(pen, x_mm, baseline_mm);
  cairo_show_text(pen, text.c_str());
}

void draw_tag(cairo_t* pen, const PrintedTag& tag) {
  const double cell_mm = tag.side_mm / tag_cells;
  const double left_mm = tag.centre_x_mm - tag.side_mm / 2.0;
  const double top_mm = tag.centre_y_mm - tag.side_mm / 2.0;
  set_grey(pen, 0.0);
  for (const std::vector<GridPoint>& loop : black_outlines(tag.number)) {
    cairo_new_sub_path(pen);
    for (const GridPoint& corner : loop)
      cairo_line_to(pen, left_mm + corner.column * cell_mm, top_mm + corner.row * cell_mm);
    cairo_close_path(pen);
  }
  cairo_set_fill_rule(pen, CAIRO_FILL_RULE_EVEN_ODD);
  cairo_fill(pen);
}

void draw_cut_lines(cairo_t* pen, const CutPiece& piece) {
  set_grey(pen, 0.6);
  cairo_set_line_width(pen, 0.15);
  cairo_rectangle(pen, piece.left_mm, piece.top_mm, piece.width_mm, piece.height_mm);
  cairo_stroke(pen);
}

void draw_rulers(cairo_t* pen, double left_mm, double top_mm) {
  draw_ruler(pen, left_mm, top_mm + 7.0, millimetre_marks(), "100 mm");
  draw_ruler(pen, left_mm, top_mm + 15.5, inch_marks(), "4 in");
}

std::string pdf_of(const std::string& title, const std::vector<PageSize>& sizes,
                   const std::function<void(cairo_t*, std::size_t)>& draw) {
  std::string bytes;
  const Surface surface(cairo_pdf_surface_create_for_stream(append_bytes, &bytes, 72.0, 72.0),
                        &cairo_surface_destroy);
  cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_TITLE, title.c_str());
  // Without a date of its own cairo would write the time of day.
  cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_CREATE_DATE, "2000-01-01T00:00:00Z");
  for (std::size_t i = 0; i < sizes.size(); ++i) {
    cairo_pdf_surface_set_size(surface.get(), sizes[i].width_mm * points_per_mm,
                               sizes[i].height_mm * points_per_mm);
    const Pen pen(cairo_create(surface.get()), &cairo_destroy);
    cairo_scale(pen.get(), points_per_mm, points_per_mm);
    cairo_select_font_face(pen.get(), "sans-serif", CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_NORMAL);
    draw(pen.get(), i);
    cairo_show_page(pen.get());
  }
  cairo_surface_finish(surface.get());
  const cairo_status_t status = cairo_surface_status(surface.get());
  if (status != CAIRO_STATUS_SUCCESS)
    throw Problem(ProblemKind::internal,
                  std::string("The sheets could not be drawn: ") + cairo_status_to_string(status) + ".", "");
  return bytes;
}

}  // namespace pivotfix
