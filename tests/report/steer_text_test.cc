// SPDX-License-Identifier: Apache-2.0
// What somebody at the car reads off the terminal, word by word, from made-up numbers. The order of the stack
// is what they bolt together.
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdio>
#include <sstream>
#include <string>
#include <vector>

#include "made_up_report.h"
#include "report/report.h"

namespace pivotfix {
namespace {

using Lines = std::vector<std::string>;

std::string with_single_blanks(const std::string& line) {
  std::string words;
  std::istringstream in_line(line);
  for (std::string word; in_line >> word;) words += (words.empty() ? "" : " ") + word;
  return words;
}

// From the line with `heading` to the next empty one; what goes on under a line is joined to it.
Lines section(const std::string& text, const std::string& heading) {
  Lines lines;
  std::istringstream all(text);
  for (std::string line; std::getline(all, line);) {
    if (lines.empty() && line.find(heading) == std::string::npos) continue;
    if (line.empty()) break;
    if (!lines.empty() && line.starts_with("   "))
      lines.back() += " " + with_single_blanks(line);
    else
      lines.push_back(with_single_blanks(line));
  }
  return lines;
}

Lines stack_lines(const ReportInput& input) {
  return section(steer_text(input), "Stack, from top to bottom");
}

// Below the arm everything that is spaced hangs on the stud that points down; on it, the stud points up.
TEST(SteerText, ListsTheStackFromTopToBottomHoweverTheRodEndIsMounted) {
  ReportInput input = made_up_strut_report();
  ASSERT_EQ(input.rod_end.mount, RodEndMount::below_arm);
  EXPECT_EQ(
      stack_lines(input),
      (Lines{"Stack, from top to bottom", "now steering arm | 1 x 0.200 in, 2 x 0.060 in | rod end | nut",
             "after steering arm | 2 x 0.200 in, 4 x 0.060 in, 1 x 0.020 in | rod end | 1 x 0.060 in | "
             "nut"}));
  input.rod_end.mount = RodEndMount::above_arm;
  EXPECT_EQ(
      stack_lines(input),
      (Lines{"Stack, from top to bottom", "now nut | rod end | 2 x 0.060 in, 1 x 0.200 in | steering arm",
             "after nut | 1 x 0.060 in | rod end | 1 x 0.020 in, 4 x 0.060 in, 2 x 0.200 in | steering "
             "arm"}));
}

// They let the ball tilt only where they touch it.
TEST(SteerText, KeepsThinNeckedSpacersAgainstTheRodEndHoweverItIsMounted) {
  ReportInput input = made_up_strut_report();
  Stack& stack = input.advice.stacks.front();
  const Spacer neck{3.0, 1, "thin neck"};
  stack.between = {{5.0, 2, "thick"}, neck};
  stack.other_side = {neck, {1.0, 1, "thin"}};
  EXPECT_EQ(stack_lines(input).back(),
            "after steering arm | 2 x thick, 1 x thin neck | rod end | 1 x thin neck, 1 x thin | nut");
  input.rod_end.mount = RodEndMount::above_arm;
  EXPECT_EQ(stack_lines(input).back(),
            "after nut | 1 x thin, 1 x thin neck | rod end | 1 x thin neck, 2 x thick | steering arm");
}

// Second made-up stack: 0.0496 deg at 40 mm of droop; at 25.4 mm of bump -0.0203 + 0.0071 deg.
TEST(SteerText, SaysOfOtherStacksWhereTheyPutTheRodEndAndWhatToeThenDoes) {
  EXPECT_EQ(
      section(steer_text(made_up_strut_report()), "Next best stacks"),
      (Lines{"Next best stacks",
             "2. 2 × 0.200 in, 4 × 0.060 in between: rod end 8.1 mm lower (1.2 mm too high), 0.05° over "
             "the travel, 0.01° toe-out in the first inch"}));
}

TEST(SteerText, SaysOfEveryAimItsHeightAndWhatTheLinkNeeds) {
  ReportInput input = made_up_strut_report();
  input.advice.heights = {
      {HeightAim::least_squares, true, {-9.37, 0.42}, 0.35, rad_from_deg(0.02), rad_from_deg(0.01)},
      {HeightAim::smallest_peak, false, {}, 0.0, 0.0, 0.0},
      {HeightAim::zero_slope, true, {1.24, 0.0}, -0.4, rad_from_deg(-0.13), rad_from_deg(0.02)}};
  EXPECT_EQ(section(steer_text(input), "Best heights"),
            (Lines{"Best heights",
                   "least squares over the travel: rod end 9.4 ± 0.4 mm lower, link 0.35 mm longer, largest "
                   "toe change 0.02°",
                   "smallest peak over the travel: rod end none, link –, largest toe change –",
                   "no slope at ride height: rod end 1.2 mm higher, link 0.40 mm shorter, largest toe change "
                   "0.13°"}));
}

// By hand from the made-up curves, as it is and with the stack: at 40 mm of droop 0.4152 and 0.0496 deg, at
// 25.4 mm of bump -0.2437 and -0.0132 deg, slopes times 25.4 mm -0.2515 and -0.0203 deg; the rim is 406.4 mm.
TEST(SteerText, PutsWhatIsNowBeforeWhatIsAfterwards) {
  EXPECT_EQ(section(steer_text(made_up_strut_report()), "with the chosen stack"),
            (Lines{"now with the chosen stack", "rod end as it is 8.6 mm lower",
                   "largest toe change, one wheel 0.415° (2.94 mm) 0.050° (0.35 mm)",
                   "first inch of bump 0.244° toe-out 0.013° toe-out",
                   "slope at ride height, per inch 0.251° toe-out 0.020° toe-out"}));
}

// "Leave the spacers as they are" must stand beside nothing that shows another stack as what comes after.
TEST(SteerText, LeavesEverythingAsItIsWhereNoChangeIsWorthMaking) {
  ReportInput input = made_up_strut_report();
  input.advice.worth_changing = false;
  EXPECT_EQ(stack_lines(input), (Lines{"Stack, from top to bottom",
                                       "now steering arm | 1 x 0.200 in, 2 x 0.060 in | rod end | nut",
                                       "after steering arm | 1 x 0.200 in, 2 x 0.060 in | rod end | nut"}));
  const std::string text = steer_text(input);
  EXPECT_EQ(section(text, "left as it is"),
            (Lines{"now left as it is", "rod end as it is stays where it is",
                   "largest toe change, one wheel 0.415° (2.94 mm) 0.415° (2.94 mm)",
                   "first inch of bump 0.244° toe-out 0.244° toe-out",
                   "slope at ride height, per inch 0.251° toe-out 0.251° toe-out"}));
  const Lines nearest = section(text, "Stacks nearest to the best height");
  ASSERT_EQ(nearest.size(), 3U);
  EXPECT_TRUE(nearest[1].starts_with("1. 2 × 0.200 in, 4 × 0.060 in, 1 × 0.020 in between: ")) << nearest[1];
  EXPECT_EQ(section(text, "Toe change of one wheel").at(1),
            "travel, mm now nearest stack best height parallel link");
  EXPECT_EQ(text.find("chosen stack"), std::string::npos) << text;
}

// With the aim smallest-peak the first stack may be further from the best height than the second.
TEST(SteerText, CallsTheFirstStackTheFlattestWhereAnotherIsNearer) {
  ReportInput input = made_up_strut_report();
  input.advice.worth_changing = false;
  input.advice.stacks[0].short_of_best_mm = 0.9;
  input.advice.stacks[1].short_of_best_mm = -0.6;
  const std::string text = steer_text(input);
  EXPECT_EQ(section(text, "Stacks, the flattest over the travel first").size(), 3U) << text;
  EXPECT_EQ(section(text, "Toe change of one wheel").at(1),
            "travel, mm now flattest stack best height parallel link");
  EXPECT_EQ(text.find("nearest"), std::string::npos) << text;
}

TEST(SteerText, SaysOfEveryChangedCarWhatItsNumbersAreAndWhichHasNone) {
  ReportInput input = made_up_strut_report();
  WhatIf lowered;
  lowered.words = "ride height -30.0 mm";
  lowered.advice = input.advice;
  lowered.advice.mismatch_rad = {rad_from_deg(2.5), 0.1};
  lowered.advice.effective_mismatch_rad = {rad_from_deg(-1.25), 0.1};
  lowered.advice.now = made_up_curve("as it is", 0.002, 0.0, 0.0);
  lowered.advice.best_height_change_mm = {3.31, 0.4};
  lowered.advice.stacks.front().between = {{5.08, 1, "0.200 in"}};
  lowered.advice.stacks.front().short_of_best_mm = -0.22;
  WhatIf locked;
  locked.words = "lower ball joint -90.0 mm";
  locked.refusal = "The corner is locked.";
  input.what_ifs = {lowered, locked};
  const Lines lines = section(steer_text(input), "What if");
  ASSERT_GE(lines.size(), 6u);
  EXPECT_EQ(
      lines[1],
      "as it is: mismatch 7.14°, effective 5.66°; per inch 0.251° toe-out; largest 0.42°; best rod end: "
      "9.4 ± 0.4 mm lower; between: 2 x 0.200 in, 4 x 0.060 in, 1 x 0.020 in (0.7 mm too high)");
  EXPECT_EQ(lines[2],
            "case 1, ride height -30.0 mm: mismatch 2.50°, effective -1.25°; per inch 0.051° toe-in; largest "
            "0.08°; best rod end: 3.3 ± 0.4 mm higher; between: 1 x 0.200 in (0.2 mm too low)");
  EXPECT_EQ(lines[3], "case 2, lower ball joint -90.0 mm: no answer: The corner is locked.");
  EXPECT_EQ(lines[5], "travel, mm as it is case 1 case 2");
  // At +40 mm: -0.3768 and 0.0800 deg.
  EXPECT_NE(std::find(lines.begin(), lines.end(), "+40 -0.377 0.080 –"), lines.end());
}

TEST(SteerText, HasAColumnForEveryChangedCarHoweverManyThereAre) {
  ReportInput input = made_up_strut_report();
  for (int i = 1; i <= 12; ++i) {
    WhatIf one;
    one.words = "rack +" + std::to_string(i) + ".0 mm";
    one.advice = input.advice;
    one.advice.now = made_up_curve("as it is", 0.001 * i, 0.0, 0.0);
    input.what_ifs.push_back(one);
  }
  const std::string text = steer_text(input);
  std::string heads;
  std::string at_40_mm;
  for (std::istringstream all(text.substr(text.find("Toe change with today's spacers"))); all;) {
    std::string line;
    std::getline(all, line);
    if (line.find("case ") != std::string::npos) heads += with_single_blanks(line) + " ";
    if (line.starts_with("  +40 ")) at_40_mm += with_single_blanks(line) + " ";
  }
  for (int i = 1; i <= 12; ++i) {
    EXPECT_NE(heads.find("case " + std::to_string(i) + " "), std::string::npos) << heads;
    // 0.040 deg for each.
    char toe[16];
    std::snprintf(toe, sizeof toe, "%.3f ", 0.04 * i);
    EXPECT_NE(at_40_mm.find(toe), std::string::npos) << at_40_mm;
    EXPECT_NE(text.find("case " + std::to_string(i) + ", rack +" + std::to_string(i) + ".0 mm: "),
              std::string::npos)
        << text;
  }
}

TEST(ShotsText, ListsWhereToStandAndHowSureTheAnswerThenIs) {
  ShotPlan plan;
  plan.wanted = "the best height of the rod end";
  plan.sigma_mm = 0.81;
  plan.photo_sigma_mm = 0.7;
  for (const auto& [words, sigma_mm] :
       {std::pair{"low, ahead of the wheel, 0.8 m from the rod end", 0.52}, {"high, behind it", 0.4}}) {
    Shot shot;
    shot.words = words;
    shot.sigma_mm = sigma_mm;
    plan.shots.push_back(shot);
  }
  plan.weak = {"Tag 12 is in two photos only."};
  const std::string text = shots_text(plan, LengthUnit::millimetre);
  EXPECT_TRUE(text.starts_with("The best height of the rod end is known to ± 0.810 mm. ")) << text;
  EXPECT_NE(text.find("\n  1. low, ahead of the wheel, 0.8 m from the rod end: then ± 0.520 mm\n"
                      "  2. high, behind it: then ± 0.400 mm\n"
                      "What is weak now\n"
                      "  - Tag 12 is in two photos only.\n"),
            std::string::npos)
      << text;
}

}  // namespace
}  // namespace pivotfix
