// SPDX-License-Identifier: Apache-2.0
// Pages of tags and scale strips to print, true to size. Two steps, so that the geometry can be used and
// tested without a PDF: lay_out_sheets() says where everything goes, sheets_pdf() draws it.
//
// Page coordinates: millimetres from the page's top left corner, x to the right, y down.
#pragma once

#include <string>
#include <vector>

namespace pivotfix {

enum class Paper { a4, letter };

struct SheetTag {
  int number = 0;
  double side_mm = 40.0;  // outer edge of the black border
};

// Two tags on one strip; its centre distance is measured after printing and makes the scale.
struct SheetStrip {
  int first_tag = 0;
  int second_tag = 1;
  double side_mm = 40.0;
  double centre_distance_mm = 200.0;
};

struct SheetRequest {
  Paper paper = Paper::a4;
  std::vector<SheetTag> tags{};
  std::vector<SheetStrip> strips{};
};

// The tags and strips of the numbering in sheets/tag_plan.h.
SheetRequest default_sheets(Paper paper);
// Those of a job with photos at several heights: on floor and body, and spread over the parts that move.
SheetRequest heights_sheets(Paper paper);

struct PrintedTag {
  int number = 0;
  double side_mm = 0.0;
  double centre_x_mm = 0.0;
  double centre_y_mm = 0.0;
};

// What is cut out along its edges: one tag, or a strip of two.
struct CutPiece {
  double left_mm = 0.0;
  double top_mm = 0.0;
  double width_mm = 0.0;
  double height_mm = 0.0;
  std::vector<PrintedTag> tags{};
  double white_mm = 0.0;  // kept free round each tag: two cells
};

struct Page {
  double width_mm = 0.0;
  double height_mm = 0.0;
  std::vector<CutPiece> pieces{};
};

// Throws Problem(usage) when a tag or strip does not fit on the paper, a number is not 0..586 or comes twice.
std::vector<Page> lay_out_sheets(const SheetRequest& request);

// Anything flat that is black in places, such as a board to calibrate a lens with; millimetres from its top
// left corner, x to the right, y down.
struct BlackRectangle {
  double left_mm = 0.0, top_mm = 0.0, width_mm = 0.0, height_mm = 0.0;
};
struct PrintedPattern {
  double width_mm = 0.0, height_mm = 0.0;
  std::vector<BlackRectangle> black{};
};

// One page with the pattern in its middle and `words` below it, upright or across, as it fits. Throws
// Problem(usage) when it does not fit the paper.
std::string pattern_pdf(const PrintedPattern& pattern, Paper paper, const std::string& words);

// Whether a pattern of that size fits. A large one is better asked before it is drawn: a ChArUco board is
// drawn on a raster of a tenth of a millimetre first. Throws Problem(usage) as above.
void check_fits_paper(double width_mm, double height_mm, Paper paper);

// The pointer's page: its tags as one piece to fold round a board, three on each face, the tip at the bottom.
// Throws Problem(usage) when they do not fit.
Page pointer_page(Paper paper, double side_mm);
// The same drawn, with how to build the pointer, find its tip and touch with it.
std::string pointer_pdf(const Page& page);

// A vector PDF, the same bytes for the same pages: it carries no date.
std::string sheets_pdf(const std::vector<Page>& pages);

}  // namespace pivotfix
