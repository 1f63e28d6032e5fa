// SPDX-License-Identifier: Apache-2.0
#include <utility>

#include "base/problem.h"
#include "base/units.h"
#include "sheets/drawing.h"
#include "sheets/page_geometry.h"
#include "sheets/sheets.h"

namespace pivotfix {
namespace {

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
  constexpr double words_width_mm = 56.0;
  const double room_mm = nominal_mm - piece.tags.front().side_mm - 2.0 * piece.white_mm;
  if (room_mm < words_width_mm) return;
  draw_text(pen, middle_mm, centre_y_mm - 4.0, 3.2,
            "tick to tick, as drawn: " + format_length(nominal_mm, LengthUnit::millimetre, 1), Align::centre);
  draw_text(pen, middle_mm, centre_y_mm + 4.0, 3.2, "measured: ______________", Align::centre);
}

void draw_footer(cairo_t* pen, const Page& page, std::size_t number, std::size_t count) {
  const double top_mm = page.height_mm - page_margin_mm - footer_height_mm;
  set_grey(pen, 0.0);
  draw_rulers(pen, page_margin_mm + 2.0, top_mm);
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

PageSize page_for(double width_mm, double height_mm, Paper paper) {
  const PaperSize sides = size_of(paper);
  PageSize size{sides.short_mm, sides.long_mm};
  const auto fits = [&](const PageSize& page) {
    return width_mm <= page.width_mm - 2.0 * page_margin_mm &&
           height_mm <= page.height_mm - 2.0 * page_margin_mm - caption_height_mm;
  };
  if (fits(size)) return size;
  std::swap(size.width_mm, size.height_mm);
  if (fits(size)) return size;
  throw Problem(ProblemKind::usage,
                "The board of " + format_fixed(width_mm, 0) + " x " + format_fixed(height_mm, 0) +
                    " mm does not fit the paper.",
                "Choose fewer or smaller squares.");
}

}  // namespace

std::string sheets_pdf(const std::vector<Page>& pages) {
  std::vector<PageSize> sizes;
  for (const Page& page : pages) sizes.push_back({page.width_mm, page.height_mm});
  return pdf_of("Tags for pivotfix", sizes,
                [&](cairo_t* pen, std::size_t i) { draw_page(pen, pages[i], i + 1, pages.size()); });
}

void check_fits_paper(double width_mm, double height_mm, Paper paper) {
  page_for(width_mm, height_mm, paper);
}

std::string pattern_pdf(const PrintedPattern& pattern, Paper paper, const std::string& words) {
  const PageSize size = page_for(pattern.width_mm, pattern.height_mm, paper);
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
