// SPDX-License-Identifier: Apache-2.0
// Where tags go on the pages, and what does not fit. How they are drawn is printed_sheets_test.cc's matter.
#include <gtest/gtest.h>

#include <cmath>
#include <set>

#include "base/problem.h"
#include "sheets/sheets.h"
#include "sheets/tag_plan.h"

namespace pivotfix {
namespace {

std::string complaint_about(const SheetRequest& request) {
  try {
    lay_out_sheets(request);
  } catch (const Problem& problem) {
    EXPECT_EQ(problem.kind(), ProblemKind::usage);
    return problem.what();
  }
  return "";
}

bool overlap(const CutPiece& a, const CutPiece& b) {
  constexpr double slack_mm = 1e-9;
  return a.left_mm + a.width_mm > b.left_mm + slack_mm && b.left_mm + b.width_mm > a.left_mm + slack_mm &&
         a.top_mm + a.height_mm > b.top_mm + slack_mm && b.top_mm + b.height_mm > a.top_mm + slack_mm;
}

class DefaultSheets : public testing::TestWithParam<Paper> {};

TEST_P(DefaultSheets, KeepAllPiecesOnThePageAndApart) {
  for (const Page& page : lay_out_sheets(default_sheets(GetParam())))
    for (std::size_t i = 0; i < page.pieces.size(); ++i) {
      const CutPiece& piece = page.pieces[i];
      EXPECT_GE(piece.left_mm, 9.0);
      EXPECT_GE(piece.top_mm, 9.0);
      EXPECT_LE(piece.left_mm + piece.width_mm, page.width_mm - 9.0 + 1e-9);
      EXPECT_LE(piece.top_mm + piece.height_mm, page.height_mm - 9.0 + 1e-9);
      for (std::size_t j = 0; j < i; ++j) EXPECT_FALSE(overlap(piece, page.pieces[j]));
    }
}

TEST_P(DefaultSheets, LeaveTwoCellsOfWhiteRoundEveryTag) {
  for (const Page& page : lay_out_sheets(default_sheets(GetParam())))
    for (const CutPiece& piece : page.pieces)
      for (const PrintedTag& tag : piece.tags) {
        const double free_mm = tag.side_mm / 2.0 + 2.0 * tag.side_mm / 8.0 - 1e-9;
        EXPECT_GE(tag.centre_x_mm - piece.left_mm, free_mm);
        EXPECT_GE(piece.left_mm + piece.width_mm - tag.centre_x_mm, free_mm);
        EXPECT_GE(tag.centre_y_mm - piece.top_mm, free_mm);
        EXPECT_GE(piece.top_mm + piece.height_mm - tag.centre_y_mm, free_mm);
      }
}

TEST_P(DefaultSheets, CarryTheStripsAtTheirCentreDistance) {
  int strips = 0;
  for (const Page& page : lay_out_sheets(default_sheets(GetParam())))
    for (const CutPiece& piece : page.pieces) {
      if (piece.tags.size() != 2) continue;
      ++strips;
      EXPECT_NEAR(piece.tags[1].centre_x_mm - piece.tags[0].centre_x_mm, 200.0, 1e-9);
      EXPECT_EQ(piece.tags[1].centre_y_mm, piece.tags[0].centre_y_mm);
    }
  EXPECT_EQ(strips, 2);
}

TEST_P(DefaultSheets, CarryEveryNumberOnce) {
  std::multiset<int> numbers;
  for (const Page& page : lay_out_sheets(default_sheets(GetParam())))
    for (const CutPiece& piece : page.pieces)
      for (const PrintedTag& tag : piece.tags) numbers.insert(tag.number);
  EXPECT_EQ(numbers,
            (std::multiset<int>{0,  1,  2,  3,  4,  5,  6,  7,  10, 11, 12, 13, 14, 15, 16, 17, 18, 19,
                                20, 21, 22, 23, 24, 25, 26, 27, 30, 31, 32, 33, 34, 35, 60, 61, 62, 63}));
}

INSTANTIATE_TEST_SUITE_P(OnBothPapers, DefaultSheets, testing::Values(Paper::a4, Paper::letter));

TEST(LayOutSheets, GivesThePapersTheirSize) {
  const Page a4 = lay_out_sheets({Paper::a4, {{0, 40.0}}, {}}).at(0);
  EXPECT_EQ(a4.width_mm, 210.0);
  EXPECT_EQ(a4.height_mm, 297.0);
  const Page letter = lay_out_sheets({Paper::letter, {}, {{0, 1, 40.0, 200.0}}}).at(0);
  EXPECT_NEAR(letter.width_mm, 279.4, 1e-9);
  EXPECT_NEAR(letter.height_mm, 215.9, 1e-9);
}

TEST(LayOutSheets, RefusesWhatCannotBePrinted) {
  EXPECT_EQ(complaint_about({Paper::a4, {{587, 40.0}}, {}}),
            "There is no tag 587. Tags have the numbers 0 to 586.");
  EXPECT_EQ(complaint_about({Paper::a4, {{3, 40.0}}, {{3, 4, 40.0, 200.0}}}),
            "Tag 3 is asked for twice. Each number may be in the workshop once only.");
  EXPECT_EQ(complaint_about({Paper::a4, {{3, 5.0}}, {}}),
            "A tag of 5.0 mm is too small. The smallest is 8 mm.");
  EXPECT_EQ(complaint_about({Paper::a4, {{3, std::nan("")}}, {}}),
            "A tag of nan mm is too small. The smallest is 8 mm.");
  EXPECT_EQ(complaint_about({Paper::a4, {{3, 200.0}}, {}}),
            "Tag 3 needs 301 x 307 mm, but the page has room for 192 x 245 mm. Make it smaller.");
  EXPECT_EQ(complaint_about({Paper::letter, {}, {{3, 4, 40.0, 210.0}}}),
            "Strip 3-4 needs 271 x 73 mm, but the page has room for 261 x 164 mm. Make it smaller.");
  EXPECT_EQ(complaint_about({Paper::a4, {}, {{3, 4, 40.0, 50.0}}}),
            "A strip of 50.0 mm is too short for its tags. It needs 61.0 mm from centre to centre.");
}

}  // namespace
}  // namespace pivotfix
