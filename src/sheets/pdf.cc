// SPDX-License-Identifier: Apache-2.0
#include <cairo-pdf.h>

#include <functional>
#include <memory>
#include <utility>

#include "base/problem.h"
#include "base/units.h"
#include "sheets/outline.h"
#include "sheets/page_geometry.h"
#include "sheets/sheets.h"
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

void set_grey(cairo_t* pen, double grey) {
  cairo_set_source_rgb(pen, grey, grey, grey);
}

void draw_line(cairo_t* pen, double x0_mm, double y0_mm, double x1_mm, double y1_mm, double width_mm = 0.2) {
  cairo_set_line_width(pen, width_mm);
  cairo_move_to(pen, x0_mm, y0_mm);
  cairo_line_to(pen, x1_mm, y1_mm);
  cairo_stroke(pen);
}

enum class Align { left, centre };

void draw_text(cairo_t* pen, double x_mm, double baseline_mm, double size_mm, const std::string& text,
               Align align = Align::left) {
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

double bottom_of(const CutPiece& piece) {
  return piece.top_mm + piece.height_mm;
}

void draw_single(cairo_t* pen, const CutPiece& piece) {
  const PrintedTag& tag = piece.tags.front();
  draw_tag(pen, tag);
  draw_text(pen, tag.centre_x_mm, bottom_of(piece) - 1.5, 4.5, std::to_string(tag.number), Align::centre);
}

// Ticks in line with both centres, at the edges, outside the white that the tags need.
void draw_strip(cairo_t* pen, const CutPiece& piece) {
  constexpr double tick_mm = 5.0;
  for (const PrintedTag& tag : piece.tags) {
    draw_tag(pen, tag);
    draw_line(pen, tag.centre_x_mm, piece.top_mm, tag.centre_x_mm, piece.top_mm + tick_mm);
    draw_line(pen, tag.centre_x_mm, bottom_of(piece) - tick_mm, tag.centre_x_mm, bottom_of(piece));
    draw_text(pen, tag.centre_x_mm + 3.0, bottom_of(piece) - 1.5, 4.5, std::to_string(tag.number));
  }
  const double centre_y_mm = piece.tags.front().centre_y_mm;
  const double nominal_mm = piece.tags[1].centre_x_mm - piece.tags[0].centre_x_mm;
  const double middle_mm = (piece.tags[1].centre_x_mm + piece.tags[0].centre_x_mm) / 2.0;
  if (nominal_mm < 150.0) return;  // no room for words
  draw_text(pen, middle_mm, centre_y_mm - 4.0, 3.2,
            "tick to tick, as drawn: " + format_length(nominal_mm, LengthUnit::millimetre, 1), Align::centre);
  draw_text(pen, middle_mm, centre_y_mm + 4.0, 3.2, "measured: ______________", Align::centre);
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

void draw_footer(cairo_t* pen, const Page& page, std::size_t number, std::size_t count) {
  const double top_mm = page.height_mm - page_margin_mm - footer_height_mm;
  set_grey(pen, 0.0);
  draw_ruler(pen, page_margin_mm + 2.0, top_mm + 7.0, millimetre_marks(), "100 mm");
  draw_ruler(pen, page_margin_mm + 2.0, top_mm + 15.5, inch_marks(), "4 in");
  const char* lines[] = {
      "Print at 100 % (actual size, not \"fit to page\"), then check the rulers with a steel rule.",
      "Cut along the grey lines and glue flat on something stiff. A number may be in the picture only once.",
      "Measure each strip from tick to tick and write that length in the job file under [[scale]]."};
  double baseline_mm = top_mm + 23.0;
  for (const char* line : lines) {
    draw_text(pen, page_margin_mm + 2.0, baseline_mm, 3.1, line);
    baseline_mm += 4.4;
  }
  draw_text(pen, page.width_mm - page_margin_mm - 42.0, top_mm + 7.0, 2.8,
            "AprilTag 36h11, page " + std::to_string(number) + "/" + std::to_string(count));
}

void draw_page(cairo_t* pen, const Page& page, std::size_t number, std::size_t count) {
  for (const CutPiece& piece : page.pieces) draw_cut_lines(pen, piece);
  for (const CutPiece& piece : page.pieces) {
    set_grey(pen, 0.0);
    if (piece.tags.size() == 1)
      draw_single(pen, piece);
    else
      draw_strip(pen, piece);
  }
  draw_footer(pen, page, number, count);
}

struct PageSize {
  double width_mm = 0.0, height_mm = 0.0;
};

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

PageSize page_for(const PrintedPattern& pattern, Paper paper) {
  const PaperSize sides = size_of(paper);
  PageSize size{sides.short_mm, sides.long_mm};
  const auto fits = [&](const PageSize& page) {
    return pattern.width_mm <= page.width_mm - 2.0 * page_margin_mm &&
           pattern.height_mm <= page.height_mm - 2.0 * page_margin_mm - caption_height_mm;
  };
  if (fits(size)) return size;
  std::swap(size.width_mm, size.height_mm);
  if (fits(size)) return size;
  throw Problem(ProblemKind::usage,
                "The board of " + format_fixed(pattern.width_mm, 0) + " x " +
                    format_fixed(pattern.height_mm, 0) + " mm does not fit the paper.",
                "Choose fewer or smaller squares.");
}

}  // namespace

std::string sheets_pdf(const std::vector<Page>& pages) {
  std::vector<PageSize> sizes;
  for (const Page& page : pages) sizes.push_back({page.width_mm, page.height_mm});
  return pdf_of("Tags for pivotfix", sizes,
                [&](cairo_t* pen, std::size_t i) { draw_page(pen, pages[i], i + 1, pages.size()); });
}

std::string pattern_pdf(const PrintedPattern& pattern, Paper paper, const std::string& words) {
  const PageSize size = page_for(pattern, paper);
  const double left_mm = 0.5 * (size.width_mm - pattern.width_mm);
  const double top_mm = 0.5 * (size.height_mm - caption_height_mm - pattern.height_mm);
  return pdf_of("Board for pivotfix", {size}, [&](cairo_t* pen, std::size_t) {
    set_grey(pen, 0.0);
    for (const BlackRectangle& black : pattern.black)
      cairo_rectangle(pen, left_mm + black.left_mm, top_mm + black.top_mm, black.width_mm, black.height_mm);
    cairo_fill(pen);
    const double baseline_mm = size.height_mm - page_margin_mm;
    draw_text(pen, 0.5 * size.width_mm, baseline_mm - 5.0, 3.1, words, Align::centre);
    draw_text(pen, 0.5 * size.width_mm, baseline_mm - 0.5, 3.1,
              "Print at 100 %, glue flat on something stiff, check a row with a steel rule.", Align::centre);
  });
}

}  // namespace pivotfix
