// SPDX-License-Identifier: Apache-2.0
// The pointer's page: two rows of tags to fold round a stick, a drawing of the finished stick, and what to do
// with it.
#include <cmath>

#include "base/problem.h"
#include "base/units.h"
#include "sheets/drawing.h"
#include "sheets/page_geometry.h"
#include "sheets/sheets.h"
#include "sheets/tag_plan.h"
#include "tags/tags.h"

namespace pivotfix {
namespace {

constexpr int rows = 3;
constexpr double words_width_mm = 60.0;
constexpr double words_gap_mm = 7.0;
constexpr double text_size_mm = 3.0;

// Words of `text` in lines as wide as the column; returns the baseline below them.
double draw_paragraph(cairo_t* pen, double x_mm, double baseline_mm, double width_mm,
                      const std::string& text) {
  constexpr double line_mm = 3.9;
  cairo_set_font_size(pen, text_size_mm);
  std::string line;
  const auto width_of = [&](const std::string& words) {
    cairo_text_extents_t extents;
    cairo_text_extents(pen, words.c_str(), &extents);
    return extents.x_advance;
  };
  for (std::size_t start = 0; start < text.size();) {
    const std::size_t end = std::min(text.find(' ', start), text.size());
    const std::string word = text.substr(start, end - start);
    start = end + 1;
    if (!line.empty() && width_of(line + " " + word) > width_mm) {
      draw_text(pen, x_mm, baseline_mm, text_size_mm, line);
      baseline_mm += line_mm;
      line.clear();
    }
    line += (line.empty() ? "" : " ") + word;
  }
  draw_text(pen, x_mm, baseline_mm, text_size_mm, line);
  return baseline_mm + line_mm + 1.4;
}

// The stick seen from its face, standing on its tip at the origin, leaning by `lean_rad`.
void draw_stick(cairo_t* pen, double tip_x_mm, double tip_y_mm, double lean_rad, bool faint) {
  constexpr double width_mm = 11.0, tip_mm = 14.0, length_mm = 40.0, tag_mm = 7.0;
  cairo_save(pen);
  cairo_translate(pen, tip_x_mm, tip_y_mm);
  cairo_rotate(pen, lean_rad);
  set_grey(pen, faint ? 0.7 : 0.0);
  cairo_set_line_width(pen, 0.3);
  cairo_rectangle(pen, -0.5 * width_mm, -tip_mm - length_mm, width_mm, length_mm);
  cairo_move_to(pen, -1.2, -tip_mm);
  cairo_line_to(pen, -1.2, -4.0);
  cairo_line_to(pen, 0.0, 0.0);
  cairo_line_to(pen, 1.2, -4.0);
  cairo_line_to(pen, 1.2, -tip_mm);
  cairo_stroke(pen);
  for (int row = 0; row < rows && !faint; ++row)
    cairo_rectangle(pen, -0.5 * tag_mm, -tip_mm - length_mm + 3.5 + 12.2 * row, tag_mm, tag_mm);
  cairo_fill(pen);
  cairo_restore(pen);
}

double draw_picture(cairo_t* pen, double left_mm, double top_mm) {
  const double tip_x_mm = left_mm + 0.5 * words_width_mm, tip_y_mm = top_mm + 58.0;
  draw_stick(pen, tip_x_mm, tip_y_mm, -0.52, true);
  draw_stick(pen, tip_x_mm, tip_y_mm, 0.52, true);
  draw_stick(pen, tip_x_mm, tip_y_mm, 0.0, false);
  set_grey(pen, 0.0);
  // The block with its dent.
  cairo_set_line_width(pen, 0.3);
  cairo_move_to(pen, tip_x_mm - 14.0, tip_y_mm - 1.6);
  cairo_line_to(pen, tip_x_mm - 2.0, tip_y_mm - 1.6);
  cairo_line_to(pen, tip_x_mm, tip_y_mm + 0.2);
  cairo_line_to(pen, tip_x_mm + 2.0, tip_y_mm - 1.6);
  cairo_line_to(pen, tip_x_mm + 14.0, tip_y_mm - 1.6);
  cairo_line_to(pen, tip_x_mm + 14.0, tip_y_mm + 5.0);
  cairo_line_to(pen, tip_x_mm - 14.0, tip_y_mm + 5.0);
  cairo_close_path(pen);
  cairo_stroke(pen);
  draw_text(pen, tip_x_mm + 16.0, tip_y_mm + 3.0, 2.8, "dent");
  draw_text(pen, tip_x_mm + 5.0, tip_y_mm - 5.0, 2.8, "tip");
  return tip_y_mm + 12.0;
}

std::string numbers_of(const CutPiece& piece) {
  std::string text;
  for (const PrintedTag& tag : piece.tags) text += (text.empty() ? "" : ", ") + std::to_string(tag.number);
  return text;
}

void draw_words(cairo_t* pen, const CutPiece& piece, double left_mm, double top_mm) {
  const std::vector<std::string> paragraphs = {
      "1. Cut out, fold along the dashed line, and glue the two rows on both faces of a stiff straight "
      "board, "
      "back to back.",
      "2. Fix a sharp tip at the end marked TIP: a scriber or a ground bolt. Nothing may bend or turn later.",
      "3. Find the tip: set it in a small dent in something that stays, with other tags in the picture. Tilt "
      "the board by 30 degrees to six sides; each time hold it still for two or three photos from different "
      "sides. One folder each: pointer/dent 1, pointer/dent 2 ...",
      "4. Touch a point that no tag reaches, held still for two or three photos, three times anew: "
      "pointer/lower_ball_joint 1, 2, 3.",
      "5. In the job file:"};
  double baseline_mm = top_mm;
  set_grey(pen, 0.0);
  for (const std::string& paragraph : paragraphs)
    baseline_mm = draw_paragraph(pen, left_mm, baseline_mm, words_width_mm, paragraph);
  cairo_select_font_face(pen, "monospace", CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_NORMAL);
  const std::string lines[] = {"[pointer]", "tags = [" + numbers_of(piece) + "]",
                               "dent = [\"pointer/dent*\"]", "[hardpoint.lower_ball_joint]",
                               "touches = [\"pointer/lower_ball_joint*\"]"};
  for (const std::string& line : lines) {
    draw_text(pen, left_mm, baseline_mm, 2.4, line);
    baseline_mm += 3.5;
  }
  cairo_select_font_face(pen, "sans-serif", CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_NORMAL);
}

void draw_piece(cairo_t* pen, const CutPiece& piece) {
  draw_cut_lines(pen, piece);
  const double middle_mm = piece.left_mm + 0.5 * piece.width_mm;
  const double bottom_mm = piece.top_mm + piece.height_mm;
  const double dashes[] = {2.0, 2.0};
  set_grey(pen, 0.6);
  cairo_set_dash(pen, dashes, 2, 0.0);
  draw_line(pen, middle_mm, piece.top_mm, middle_mm, bottom_mm, 0.15);
  cairo_set_dash(pen, dashes, 0, 0.0);
  for (const PrintedTag& tag : piece.tags) {
    draw_tag(pen, tag);
    draw_text(pen, tag.centre_x_mm, tag.centre_y_mm + 0.5 * tag.side_mm + piece.white_mm + 4.5, 4.0,
              std::to_string(tag.number), Align::centre);
  }
  for (const double side : {-1.0, 1.0})
    draw_text(pen, middle_mm + side * 0.25 * piece.width_mm, bottom_mm - 1.5, 3.2, "TIP", Align::centre);
}

}  // namespace

Page pointer_page(Paper paper, double side_mm) {
  const PaperSize size = size_of(paper);
  const double white = 2.0 * side_mm / tag_cells;
  const double block_mm = side_mm + 2.0 * (white + cut_gap_mm);
  CutPiece piece{
      page_margin_mm, page_margin_mm, 2.0 * block_mm, rows * (block_mm + label_height_mm) + 5.0, {}, white};
  const double room_high_mm = size.long_mm - 2.0 * page_margin_mm - footer_height_mm;
  const double room_wide_mm = size.short_mm - 2.0 * page_margin_mm - words_gap_mm - words_width_mm;
  if (side_mm < smallest_side_mm || piece.width_mm > room_wide_mm || piece.height_mm > room_high_mm)
    throw Problem(ProblemKind::usage,
                  "The pointer's tags of " + format_length(side_mm, LengthUnit::millimetre, 1) +
                      " do not fit the page.",
                  "Choose a side of 20 to 40 mm.");
  for (std::size_t i = 0; i < tag_plan::pointer.size(); ++i) {
    const std::size_t columns_before = i / rows, rows_before = i % rows;
    const auto column = static_cast<double>(columns_before), row = static_cast<double>(rows_before);
    piece.tags.push_back({tag_plan::pointer[i], side_mm, piece.left_mm + (column + 0.5) * block_mm,
                          piece.top_mm + row * (block_mm + label_height_mm) + 0.5 * block_mm});
  }
  return {size.short_mm, size.long_mm, {piece}};
}

std::string pointer_pdf(const Page& page) {
  return pdf_of("Pointer for pivotfix", {{page.width_mm, page.height_mm}}, [&](cairo_t* pen, std::size_t) {
    const CutPiece& piece = page.pieces.front();
    draw_piece(pen, piece);
    const double words_left_mm = piece.left_mm + piece.width_mm + words_gap_mm;
    set_grey(pen, 0.0);
    draw_text(pen, words_left_mm, page_margin_mm + 6.0, 5.5, "Pointer");
    draw_words(pen, piece, words_left_mm, draw_picture(pen, words_left_mm, page_margin_mm + 10.0));
    const double footer_mm = page.height_mm - page_margin_mm - footer_height_mm;
    draw_rulers(pen, page_margin_mm + 2.0, footer_mm);
    draw_text(pen, page_margin_mm + 2.0, footer_mm + 23.0, 3.1,
              "Print at 100 % (actual size, not \"fit to page\"), then check the rulers with a steel rule.");
    draw_text(pen, page_margin_mm + 2.0, footer_mm + 27.4, 3.1,
              "The tip's place is found from the photos: it needs no measuring.");
  });
}

}  // namespace pivotfix
