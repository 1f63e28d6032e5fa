// SPDX-License-Identifier: Apache-2.0
#include "page/numbers.h"

#include <gtest/gtest.h>

#include <limits>

#include "base/length_words.h"
#include "page/base64.h"
#include "page/markup.h"
#include "page/svg.h"
#include "page/text_layout.h"
#include "page/unbroken.h"

namespace pivotfix::report {
namespace {

TEST(Rounding, KeepsTwoDigitsOfAnUncertaintyThatStartsWithOneOrTwoElseOne) {
  EXPECT_EQ(value_text(1.7362, 0.132, 2), "1.74 ± 0.13");
  EXPECT_EQ(value_text(-9.371, 0.42, 2), "-9.4 ± 0.4");
  EXPECT_EQ(value_text(0.0, 0.021, 2), "0.000 ± 0.021");
  EXPECT_EQ(value_text(1234.5, 134.0, 2), "1230 ± 130");
  EXPECT_EQ(value_text(317.6, 9.4, 2), "318 ± 9");
}

TEST(Rounding, UsesThePlainDecimalsWithoutAnUncertainty) {
  EXPECT_EQ(value_text(1.7362, 0.0, 2), "1.74");
  EXPECT_EQ(value_text(-0.001, 0.0, 2), "0.00");
  EXPECT_EQ(value_text(1.0, std::numeric_limits<double>::quiet_NaN(), 1), "1.0");
  EXPECT_EQ(value_text(std::numeric_limits<double>::quiet_NaN(), 1.0, 1), not_known);
}

TEST(Rounding, GivesAColumnTwoDigitsOfItsLargestUncertainty) {
  EXPECT_EQ(column_decimals(0.34, 5), 2);
  EXPECT_EQ(column_decimals(0.016, 5), 3);
  EXPECT_EQ(column_decimals(0.0, 3), 3);
  EXPECT_EQ(column_decimals(45.0, 3), 0);
}

TEST(Words, TellTheWayOfAMoveAndOfToe) {
  EXPECT_EQ(move_words(-8.636, 0.0, LengthUnit::millimetre), "8.6 mm lower");
  EXPECT_EQ(move_words(5.08, 0.0, LengthUnit::inch), "0.200 in higher");
  EXPECT_EQ(move_words(0.0, 0.0, LengthUnit::millimetre), "stays where it is");
  EXPECT_EQ(toe_words(rad_from_deg(-0.2437), 0.0, 2), "0.24° toe-out");
  EXPECT_EQ(toe_words(rad_from_deg(0.2437), 0.0, 2), "0.24° toe-in");
  EXPECT_EQ(toe_words(rad_from_deg(0.001), 0.0, 2), "no toe change");
}

TEST(Words, GiveTheOtherUnitInBrackets) {
  EXPECT_EQ(length_in_both(25.4, 0.0, LengthUnit::millimetre, 1), "25.4 mm (1.000 in)");
  EXPECT_EQ(length_in_both(25.4, 0.0, LengthUnit::inch, 1), "1.000 in (25.4 mm)");
}

TEST(ToeAtRim, IsTheDifferenceOfTheRimsEdges) {
  // 0.1 degree at 16 in: 406.4 * sin(0.1 deg) = 0.7093 mm.
  EXPECT_NEAR(toe_at_rim_mm(rad_from_deg(0.1), 406.4), 0.7093, 1e-4);
}

TEST(Escaping, LeavesNoMarkupCharacter) {
  EXPECT_EQ(escaped("<a b=\"c\" d='e'>&amp;"), "&lt;a b=&quot;c&quot; d=&#39;e&#39;&gt;&amp;amp;");
  EXPECT_EQ(escaped("caf\xC3\xA9 \xE2\x82\xAC"), "caf\xC3\xA9 \xE2\x82\xAC");
  EXPECT_EQ(escaped("\xC3("), "\xEF\xBF\xBD(");
}

TEST(Words, OfOtherStagesAreReadInAnyUnit) {
  const std::string words = "Lower it by " + length_words(8.6, 1) + " ± " + length_words(0.4, 1) + " (" +
                            length_words(-12.7, 2) + "), in steps of " + length_words(5.0, 0) +
                            ". From 3.1 ± " + length_words(0.2, 1) + ".";
  EXPECT_EQ(lengths_in(words, LengthUnit::millimetre),
            "Lower it by 8.6 mm ± 0.4 mm (-12.70 mm), in steps of 5 mm. From 3.1 ± 0.2 mm.");
  EXPECT_EQ(lengths_in(words, LengthUnit::inch),
            "Lower it by 0.339 ± 0.016 in (-0.500 in), in steps of 0.20 in. From 0.122 ± 0.008 in.");
  EXPECT_EQ(lengths_in(words, LengthUnit::thousandth),
            "Lower it by 339 ± 16 thou (-500 thou), in steps of 197 thou. From 122 ± 8 thou.");
}

// 0.009 / 25.4 = 0.00035
TEST(Words, OfALengthNeverRoundItToNothing) {
  const std::string words = "they disagree by " + length_words(0.009, 3) + " and " + length_words(0.0, 2);
  EXPECT_EQ(lengths_in(words, LengthUnit::inch), "they disagree by 0.0004 in and 0.000 in");
  EXPECT_EQ(lengths_in(words, LengthUnit::thousandth), "they disagree by 0.4 thou and 0 thou");
}

TEST(Words, ThatAUserTypedStayAsTheyAre) {
  for (const std::string typed :
       {"12 mm lowered", "a car lowered by 12 mm", "M12 mm", "3mm", "1 x 0.200 in", "up 20.5 ± 1 mm"}) {
    EXPECT_EQ(lengths_in(typed, LengthUnit::inch), typed);
    EXPECT_EQ(lengths_in(typed + ": " + length_words(25.4, 1) + " off", LengthUnit::inch),
              typed + ": 1.000 in off");
  }
}

TEST(TextLayout, PutsColumnsThatDoNotFitBelowEachOther) {
  const std::string wide(30, 'w');
  EXPECT_EQ(aligned({{"pivot", wide, wide, "last"}, {"a", "1", "2", "3"}}, false),
            "  pivot  " + wide + "  " + wide + "  last\n" + "  a      1" + std::string(31, ' ') + "2" +
                std::string(31, ' ') + "3\n");
  EXPECT_EQ(aligned({{"pivot", wide, wide, "last one"}, {"a", "1", "2", "3"}}, false),
            "  pivot  " + wide + "  " + wide + "\n" + "  a      1" + std::string(31, ' ') + "2\n" +
                "\n  pivot  last one\n  a      3\n");
}

TEST(TextLayout, KeepsANumberWithItsUnit) {
  const std::string filler(75, 'x');
  EXPECT_EQ(wrapped(filler + " " + length_words(12.7, 1), ""), filler + "\n12.7 mm\n");
}

TEST(Words, KeepANumberWithItsUnitOnOneLine) {
  EXPECT_EQ(unbroken("2 x 0.060 in"), "2\u00A0x\u00A00.060\u00A0in");
  EXPECT_EQ(unbroken("20.0 mm ± 0.2 mm too high, 5 in all, 3 inches; 0.59 deg per inch"),
            "20.0\u00A0mm ±\u00A00.2\u00A0mm too high, 5\u00A0in all, 3 inches; 0.59\u00A0deg per inch");
}

// RFC 4648, section 10.
TEST(Base64, GivesTheStandardsVectors) {
  EXPECT_EQ(base64(""), "");
  EXPECT_EQ(base64("f"), "Zg==");
  EXPECT_EQ(base64("fo"), "Zm8=");
  EXPECT_EQ(base64("foo"), "Zm9v");
  EXPECT_EQ(base64("foobar"), "Zm9vYmFy");
  EXPECT_EQ(base64("\xFF\xFE\xFD"), "//79");
}

TEST(Minus, ReplacesHyphensOfNumbersOnly) {
  EXPECT_EQ(with_minus("-5.1 (-1 in) toe-in"), "−5.1 (−1 in) toe-in");
}

TEST(Spread, KeepsOrderAndGapAndMovesNoMoreThanNeeded) {
  EXPECT_EQ(spread({10.0, 50.0}, 15.0), (std::vector<double>{10.0, 50.0}));
  EXPECT_EQ(spread({20.0, 10.0}, 20.0), (std::vector<double>{25.0, 5.0}));
  const std::vector<double> three = spread({10.0, 11.0, 12.0}, 10.0);
  EXPECT_NEAR(three[0], 1.0, 1e-12);
  EXPECT_NEAR(three[1], 11.0, 1e-12);
  EXPECT_NEAR(three[2], 21.0, 1e-12);
}

TEST(RoundStep, IsOneTwoOrFiveTimesAPowerOfTen) {
  EXPECT_DOUBLE_EQ(round_step(80.0, 10), 10.0);
  EXPECT_DOUBLE_EQ(round_step(0.9, 8), 0.2);
  EXPECT_DOUBLE_EQ(round_step(3.0, 8), 0.5);
}

}  // namespace
}  // namespace pivotfix::report
