// SPDX-License-Identifier: Apache-2.0
// The report reads lengths and tags out of the words that the locator has for each way to a pivot: whoever
// changes those words must see it here.
#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "base/length_words.h"
#include "locate/pivot_ways.h"
#include "report/next_shots.h"
#include "report/tables.h"

namespace pivotfix::report {
namespace {

TEST(WayWords, OfTheLocatorShowTheirLengthsInTheUnit) {
  for (const Way& way : {Way(TagOffset{12, {0.0, 0.0, -31.0}, 0.2}), Way(TagOffset{12, {0.0, 0.0, 4.5}, 0.2}),
                         Way(TagOffset{12, {1.5, -20.25, 3.0}, 0.2}), Way(TagRing{{3, 14, 15}, 26.0, 0.2})})
    for (const char* more : {"", ", with motion"}) {
      const std::string words = in_words(way) + more;
      EXPECT_NE(words.find(" mm"), std::string::npos) << words;
      EXPECT_EQ(way_words(words, LengthUnit::millimetre), words);
      const std::string inches = way_words(words, LengthUnit::inch);
      EXPECT_EQ(inches.find("mm"), std::string::npos) << inches;
      EXPECT_NE(inches.find(" in"), std::string::npos) << inches;
    }
  // 31 mm are 1.2205 in.
  EXPECT_EQ(way_words(in_words(TagOffset{12, {0.0, 0.0, -31.0}, 0.2}), LengthUnit::inch),
            "tag 12, 1.220 in behind its face");
}

TEST(WayWords, WithoutALengthAndThoseThatAUserTypedStay) {
  const std::vector<Way> ways{TagPair{20, 21, 0.5, 0.2}, TagTube{{31, 32}, 20.0, 0.2},
                              Touches{{"a", "b"}, 0.1}, ByHand{}, ByMotion{}};
  for (const Way& way : ways) EXPECT_EQ(way_words(in_words(way), LengthUnit::inch), in_words(way));
  EXPECT_EQ(way_words("31 mm behind the bolt's head", LengthUnit::inch), "31 mm behind the bolt's head");
}

TEST(HandSentence, NamesTheTagThatAPivotIsMeasuredFrom) {
  ShotPlan plan;
  plan.wanted = "the best height of the rod end";
  plan.sigma_mm = 0.5;
  plan.by_hand = {
      {"the stand-off of the lower ball joint", in_words(TagOffset{12, {0.0, 0.0, -48.0}, 0.3}), 12, 0.08},
      {"how well the tag sits centred over the rod end of the steering link",
       in_words(TagOffset{17, {0.0, 0.0, -48.0}, 0.01}), 17, 0.06}};
  const std::string words = shots_sentence(plan, LengthUnit::millimetre);
  EXPECT_NE(
      words.find("measure again by hand the stand-off of the lower ball joint (tag 12) ± 0.08 mm and how "
                 "well the tag sits centred over the rod end of the steering link (tag 17) ± 0.06 mm."),
      std::string::npos)
      << words;
}

// A scale strip's error is within what the photos tell, and no photo makes it less.
TEST(WayWords, OfAScaleStripStandWhereItBringsMostOfTheUncertainty) {
  ShotPlan plan;
  plan.wanted = "the best height of the rod end";
  plan.sigma_mm = 0.5;
  plan.photo_sigma_mm = 0.49;
  plan.by_hand = {{"the length of the scale strip", "", -1, 0.45, true}};
  EXPECT_NE(with_plain_spaces(hand_sentence(plan)).find("the length of the scale strip ± 0.45 mm."),
            std::string::npos)
      << hand_sentence(plan);
  plan.by_hand = {{"the stand-off of the lower ball joint", "", -1, 0.1}};
  EXPECT_EQ(hand_sentence(plan), "");
}

}  // namespace
}  // namespace pivotfix::report
