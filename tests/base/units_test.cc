// SPDX-License-Identifier: Apache-2.0
#include "base/units.h"

#include <gtest/gtest.h>

#include <limits>

#include "base/problem.h"

namespace pivotfix {
namespace {

TEST(ParseLength, ReadsMillimetresInchesAndThousandths) {
  EXPECT_DOUBLE_EQ(parse_length_mm("25.4 mm", LengthUnit::inch), 25.4);
  EXPECT_DOUBLE_EQ(parse_length_mm("0.200 in", LengthUnit::millimetre), 5.08);
  EXPECT_DOUBLE_EQ(parse_length_mm("60 thou", LengthUnit::millimetre), 1.524);
  EXPECT_DOUBLE_EQ(parse_length_mm("  -1.5cm ", LengthUnit::millimetre), -15.0);
}

TEST(ParseLength, TakesABareNumberInTheUnitOfTheJob) {
  EXPECT_DOUBLE_EQ(parse_length_mm("2", LengthUnit::millimetre), 2.0);
  EXPECT_DOUBLE_EQ(parse_length_mm("+2", LengthUnit::inch), 50.8);
}

void expect_no_length(const char* text, const std::string& sentence) {
  try {
    parse_length_mm(text, LengthUnit::millimetre);
    FAIL() << text << " was taken";
  } catch (const Problem& problem) {
    EXPECT_EQ(problem.kind(), ProblemKind::input);
    EXPECT_EQ(problem.what_happened(), sentence);
  }
}

TEST(ParseLength, RefusesWhatIsNoLengthAndSaysWhy) {
  expect_no_length("", "\"\" is not a length: it does not start with a number.");
  expect_no_length("12 furlong", "\"12 furlong\" is not a length: unknown unit \"furlong\".");
  expect_no_length("inf mm", "\"inf mm\" is not a length: the number is not finite.");
  expect_no_length("nan", "\"nan\" is not a length: the number is not finite.");
  expect_no_length("1,5 mm", "\"1,5 mm\" is not a length: unknown unit \",5 mm\".");
}

TEST(LengthAsWritten, HasTheUnitThatCountsAfterABareNumber) {
  EXPECT_EQ(length_as_written("0.2", LengthUnit::inch), "0.2 in");
  EXPECT_EQ(length_as_written(" 5.08 ", LengthUnit::millimetre), "5.08 mm");
  EXPECT_EQ(length_as_written("+2e-1", LengthUnit::inch), "+2e-1 in");
  EXPECT_EQ(length_as_written("0.200 in", LengthUnit::millimetre), "0.200 in");
  EXPECT_EQ(length_as_written("60\tthou\n", LengthUnit::inch), "60 thou");
}

TEST(ParseAngle, ReadsDegreesArcMinutesAndRadians) {
  EXPECT_DOUBLE_EQ(parse_angle_rad("180"), std::numbers::pi);
  EXPECT_DOUBLE_EQ(parse_angle_rad("6 min"), 0.1 * rad_per_deg);
  EXPECT_DOUBLE_EQ(parse_angle_rad("-2 mrad"), -0.002);
}

TEST(FormatFixed, NeverPrintsANegativeZero) {
  EXPECT_EQ(format_fixed(-0.004, 2), "0.00");
  EXPECT_EQ(format_fixed(-0.006, 2), "-0.01");
  EXPECT_EQ(format_fixed(-1e-300, 0), "0");
}

TEST(DecimalsThatShow, AreUpToTwoMoreWhereElseNothingWouldBeLeft) {
  EXPECT_EQ(decimals_that_show(0.39, 2), 2);
  EXPECT_EQ(decimals_that_show(-0.004, 2), 3);
  EXPECT_EQ(decimals_that_show(0.0004, 2), 4);
  EXPECT_EQ(decimals_that_show(0.000004, 2), 2);
  EXPECT_EQ(decimals_that_show(0.0, 2), 2);
}

TEST(FormatLength, ConvertsToInches) {
  EXPECT_EQ(format_length(5.08, LengthUnit::thousandth, 0), "200 thou");
  EXPECT_EQ(format_length(5.08, LengthUnit::inch, 3), "0.200 in");
  EXPECT_EQ(format_length(5.08, LengthUnit::millimetre, 2), "5.08 mm");
}

TEST(Problem, SaysPlaceThenWhatHappenedThenWhatToDo) {
  const Problem problem(ProblemKind::input, "It broke.", "Mend it.", {"job.toml", 12, 3});
  EXPECT_STREQ(problem.what(), "job.toml:12:3: It broke. Mend it.");
}

}  // namespace
}  // namespace pivotfix
