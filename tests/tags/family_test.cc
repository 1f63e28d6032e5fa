// SPDX-License-Identifier: Apache-2.0
// The family's patterns against OpenCV's dictionary, and the matching of what a camera saw.
#include "tags/family.h"

#include <gtest/gtest.h>

#include <opencv2/aruco/dictionary.hpp>

#include "base/problem.h"

namespace pivotfix {
namespace {

CodeCells white_cells(int tag_number) {
  const auto black = tag_pattern(tag_number);
  CodeCells white{};
  for (int row = 0; row < code_cells; ++row) {
    for (int column = 0; column < code_cells; ++column) white[row][column] = !black[row + 1][column + 1];
  }
  return white;
}

// As a camera sees it that is turned a quarter clockwise about its line of sight: the tag appears turned a
// quarter counterclockwise, and what was the top right corner is at the top left.
CodeCells turn_counterclockwise(const CodeCells& cells) {
  CodeCells turned{};
  for (int row = 0; row < code_cells; ++row) {
    for (int column = 0; column < code_cells; ++column)
      turned[row][column] = cells[column][code_cells - 1 - row];
  }
  return turned;
}

TEST(TagFamily, EveryPatternIsTheOneOpenCvDraws) {
  const auto dictionary = cv::aruco::getPredefinedDictionary(cv::aruco::DICT_APRILTAG_36h11);
  ASSERT_EQ(dictionary->bytesList.rows, tag_family_size);
  for (int number = 0; number < tag_family_size; ++number) {
    cv::Mat drawn;
    dictionary->drawMarker(number, tag_cells, drawn, 1);
    const auto black = tag_pattern(number);
    for (int row = 0; row < tag_cells; ++row) {
      for (int column = 0; column < tag_cells; ++column) {
        ASSERT_EQ(black[row][column], drawn.at<std::uint8_t>(row, column) == 0)
            << "tag " << number << " row " << row << " column " << column;
      }
    }
  }
}

TEST(TagFamily, RefusesNumbersOutsideTheFamily) {
  EXPECT_THROW(tag_pattern(-1), Problem);
  EXPECT_THROW(tag_pattern(tag_family_size), Problem);
  EXPECT_NO_THROW(tag_pattern(tag_family_size - 1));
}

TEST(TagFamily, FindsEveryNumberInEveryTurn) {
  for (int number = 0; number < tag_family_size; ++number) {
    CodeCells seen = white_cells(number);
    for (int turns = 0; turns < 4; ++turns) {
      const auto match = match_family(seen, 0);
      ASSERT_TRUE(match.has_value()) << number;
      EXPECT_EQ(match->tag_number, number);
      // Each counterclockwise quarter carries the bottom left corner one place on in the order of corners:
      // to the bottom right, the top right, the top left.
      EXPECT_EQ(match->quarter_turns, turns) << number;
      seen = turn_counterclockwise(seen);
    }
  }
}

TEST(TagFamily, BearsAsManyWrongCellsAsAllowedAndNoMore) {
  CodeCells seen = white_cells(321);
  seen[0][0] = !seen[0][0];
  seen[3][5] = !seen[3][5];
  const auto match = match_family(seen, 2);
  ASSERT_TRUE(match.has_value());
  EXPECT_EQ(match->tag_number, 321);
  EXPECT_EQ(match->wrong_cells, 2);
  EXPECT_FALSE(match_family(seen, 1).has_value());
}

}  // namespace
}  // namespace pivotfix
