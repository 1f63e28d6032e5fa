// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <set>

#include "base/problem.h"
#include "base/units.h"
#include "sheets/page_geometry.h"
#include "sheets/sheets.h"
#include "sheets/tag_plan.h"
#include "tags/tags.h"

namespace pivotfix {
namespace {

double white_mm(double side_mm) {
  return 2.0 * side_mm / tag_cells;
}

void check_numbers(const SheetRequest& request) {
  std::set<int> seen;
  const auto check = [&seen](int number) {
    if (number < 0 || number >= tag_family_size)
      throw Problem(ProblemKind::usage, "There is no tag " + std::to_string(number) + ".",
                    "Tags have the numbers 0 to " + std::to_string(tag_family_size - 1) + ".");
    if (!seen.insert(number).second)
      throw Problem(ProblemKind::usage, "Tag " + std::to_string(number) + " is asked for twice.",
                    "Each number may be in the workshop once only.");
  };
  for (const SheetTag& tag : request.tags) check(tag.number);
  for (const SheetStrip& strip : request.strips) {
    check(strip.first_tag);
    check(strip.second_tag);
  }
}

void check_side(double side_mm) {
  if (!(side_mm >= smallest_side_mm))
    throw Problem(ProblemKind::usage,
                  "A tag of " + format_length(side_mm, LengthUnit::millimetre, 1) + " is too small.",
                  "The smallest is " + format_length(smallest_side_mm, LengthUnit::millimetre, 0) + ".");
}

// Fills pages of one format row by row, left to right.
class PageFiller {
 public:
  PageFiller(double width_mm, double height_mm) : width_mm_(width_mm), height_mm_(height_mm) {}

  void add(CutPiece piece, const std::string& noun) {
    const double right_mm = width_mm_ - page_margin_mm;
    const double bottom_mm = height_mm_ - page_margin_mm - footer_height_mm;
    if (piece.width_mm > right_mm - page_margin_mm || piece.height_mm > bottom_mm - page_margin_mm)
      throw Problem(ProblemKind::usage,
                    noun + " needs " + format_fixed(piece.width_mm, 0) + " x " +
                        format_fixed(piece.height_mm, 0) + " mm, but the page has room for " +
                        format_fixed(right_mm - page_margin_mm, 0) + " x " +
                        format_fixed(bottom_mm - page_margin_mm, 0) + " mm.",
                    "Make it smaller.");
    if (next_x_mm_ + piece.width_mm > right_mm) start_row();
    if (pages_.empty() || next_y_mm_ + piece.height_mm > bottom_mm) start_page();
    shift(piece, next_x_mm_, next_y_mm_);
    next_x_mm_ += piece.width_mm;
    row_height_mm_ = std::max(row_height_mm_, piece.height_mm);
    pages_.back().pieces.push_back(std::move(piece));
  }

  std::vector<Page> pages() const { return pages_; }

 private:
  void start_row() {
    next_x_mm_ = page_margin_mm;
    next_y_mm_ += row_height_mm_;
    row_height_mm_ = 0.0;
  }
  void start_page() {
    pages_.push_back({width_mm_, height_mm_, {}});
    next_x_mm_ = page_margin_mm;
    next_y_mm_ = page_margin_mm;
    row_height_mm_ = 0.0;
  }
  static void shift(CutPiece& piece, double x_mm, double y_mm) {
    piece.left_mm += x_mm;
    piece.top_mm += y_mm;
    for (PrintedTag& tag : piece.tags) {
      tag.centre_x_mm += x_mm;
      tag.centre_y_mm += y_mm;
    }
  }

  double width_mm_;
  double height_mm_;
  double next_x_mm_ = page_margin_mm;
  double next_y_mm_ = page_margin_mm;
  double row_height_mm_ = 0.0;
  std::vector<Page> pages_{};
};

// Both with their top left corner at the origin.
CutPiece single_piece(const SheetTag& tag) {
  const double white = white_mm(tag.side_mm);
  const double block_mm = tag.side_mm + 2.0 * (white + cut_gap_mm);
  return {0.0,
          0.0,
          block_mm,
          block_mm + label_height_mm,
          {{tag.number, tag.side_mm, block_mm / 2.0, block_mm / 2.0}},
          white};
}

CutPiece strip_piece(const SheetStrip& strip) {
  const double white = white_mm(strip.side_mm);
  const double block_mm = strip.side_mm + 2.0 * (white + cut_gap_mm);
  if (strip.centre_distance_mm < block_mm)
    throw Problem(
        ProblemKind::usage,
        "A strip of " + format_length(strip.centre_distance_mm, LengthUnit::millimetre, 1) +
            " is too short for its tags.",
        "It needs " + format_length(block_mm, LengthUnit::millimetre, 1) + " from centre to centre.");
  const double x_mm = block_mm / 2.0;
  const double y_mm = label_height_mm + block_mm / 2.0;
  return {0.0,
          0.0,
          strip.centre_distance_mm + block_mm,
          block_mm + 2.0 * label_height_mm,
          {{strip.first_tag, strip.side_mm, x_mm, y_mm},
           {strip.second_tag, strip.side_mm, x_mm + strip.centre_distance_mm, y_mm}},
          white};
}

// Groups of tags by number, and the two strips.
template <typename... Groups>
SheetRequest sheets_of(Paper paper, const Groups&... groups) {
  using namespace tag_plan;
  SheetRequest request;
  request.paper = paper;
  const auto add = [&request](const auto& numbers) {
    for (const int number : numbers) request.tags.push_back({number, side_mm});
  };
  (add(groups), ...);
  for (const auto& strip : {first_strip, second_strip})
    request.strips.push_back({strip[0], strip[1], side_mm, strip_centre_distance_mm});
  return request;
}

}  // namespace

SheetRequest default_sheets(Paper paper) {
  using namespace tag_plan;
  return sheets_of(
      paper, floor_tags, forward, lower_arm_front_pivot, lower_arm_rear_pivot,
      std::array{lower_ball_joint, link_inner_joint, link_outer_joint, wheel_centre, strut_top_mount},
      strut_axis_low, upper_arm_front_pivot, upper_arm_rear_pivot,
      std::array{upper_ball_joint, lower_rear_link_outer_joint, upper_rear_link_outer_joint}, spare);
}

SheetRequest heights_sheets(Paper paper) {
  using namespace tag_plan;
  return sheets_of(
      paper, floor_tags, forward, spare, on_knuckle, on_lower_arm, on_upper_arm, on_link, on_hub,
      on_strut_tube,
      std::array{on_lower_rear_link[1], on_lower_rear_link[2], on_upper_rear_link[1], on_upper_rear_link[2]});
}

std::vector<Page> lay_out_sheets(const SheetRequest& request) {
  check_numbers(request);
  const PaperSize paper = size_of(request.paper);
  PageFiller portrait(paper.short_mm, paper.long_mm);
  for (const SheetTag& tag : request.tags) {
    check_side(tag.side_mm);
    portrait.add(single_piece(tag), "Tag " + std::to_string(tag.number));
  }
  PageFiller landscape(paper.long_mm, paper.short_mm);
  for (const SheetStrip& strip : request.strips) {
    check_side(strip.side_mm);
    landscape.add(strip_piece(strip),
                  "Strip " + std::to_string(strip.first_tag) + "-" + std::to_string(strip.second_tag));
  }
  std::vector<Page> pages = portrait.pages();
  const std::vector<Page> strip_pages = landscape.pages();
  pages.insert(pages.end(), strip_pages.begin(), strip_pages.end());
  return pages;
}

}  // namespace pivotfix
