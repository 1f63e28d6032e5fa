// SPDX-License-Identifier: Apache-2.0
// Rows that only some corners get: the rule of thumb that misleads, locks, what was taken for granted.
#include <gtest/gtest.h>

#include <cmath>

#include "advice/made_up_sets.h"
#include "base/units.h"
#include "corner/example_corners.h"
#include "made_up_report.h"
#include "page/numbers.h"
#include "report/advice_tables.h"
#include "report/tables.h"

namespace pivotfix::report {
namespace {

std::string cell(const Rows& rows, const std::string& first) {
  for (const auto& row : rows)
    if (row.front().starts_with(first)) return row.at(1);
  return "";
}

Advice with_heights(double rule_mm, double flat_mm, double sigma_mm) {
  Advice advice;
  advice.parallel_link = made_up_curve("link parallel to the arm", 0.001, 0.0, 0.0);
  advice.parallel_link.rod_end_height_mm = rule_mm;
  advice.heights = {{HeightAim::zero_slope, true, {flat_mm, sigma_mm}, 0.0, 0.0, 0.0}};
  return advice;
}

TEST(RuleOfThumb, IsCalledTheWrongWayWhereItPointsAwayFromTheHeightWithoutSlope) {
  const auto words = [](const Advice& advice) {
    return cell(link_rows(advice, LengthUnit::millimetre), "rule of thumb");
  };
  EXPECT_EQ(words(with_heights(2.0, -3.0, 0.5)), "would be the wrong way here");
  EXPECT_EQ(words(with_heights(2.0, 3.0, 0.5)), "") << "the same way";
  EXPECT_EQ(words(with_heights(2.0, -0.3, 0.5)), "") << "within the uncertainty";
}

// Mismatch and effective mismatch of opposite signs are what makes the rule mislead.
TEST(RuleOfThumb, MisleadsWhereMismatchAndEffectiveMismatchDisagree) {
  int disagree = 0;
  for (unsigned seed = 0; seed < 60; ++seed) {
    Advice advice;
    try {
      const HardpointSet set = random_plausible_set(Layout::double_wishbone, seed, 15.0);
      advice = advise(set, *set.rod_end, {20.0, 20.0});
    } catch (const std::exception&) {
      continue;
    }
    const double mismatch = advice.mismatch_rad.value;
    const double effective = advice.effective_mismatch_rad.value;
    if (std::min(std::abs(mismatch), std::abs(effective)) < rad_from_deg(0.1)) continue;
    const bool says = !cell(link_rows(advice, LengthUnit::millimetre), "rule of thumb").empty();
    EXPECT_EQ(says, mismatch * effective < 0.0) << "seed " << seed;
    disagree += says ? 1 : 0;
  }
  EXPECT_GT(disagree, 0);
}

TEST(ParallelLink, HasNoColumnWhereNoHeightMakesItSo) {
  ReportInput input = made_up_strut_report();
  EXPECT_EQ(toe_columns(input.advice).back().head, "parallel link");
  input.advice.parallel_link = {};
  EXPECT_NE(toe_columns(input.advice).back().head, "parallel link");
  EXPECT_EQ(cell(link_rows(input.advice, LengthUnit::millimetre), "rule of thumb"),
            "not within reach of any stud, so not shown");
}

TEST(WhatIfRows, SayWhereTheChangedCornerLocks) {
  ReportInput input = made_up_strut_report();
  WhatIf lowered;
  lowered.words = "ride height 60 mm lower";
  lowered.advice = input.advice;
  lowered.advice.travel = {60.0, 40.0};
  lowered.advice.now.travel_mm = {-40.0, 0.0, 32.0};
  lowered.advice.now.toe_change_rad = {0.001, 0.0, -0.001};
  lowered.advice.now.ended_early = "The corner cannot go beyond 32.0 mm of bump";
  input.what_ifs = {lowered};
  EXPECT_EQ(what_if_rows(input).at(1).at(0), "ride height 60 mm lower (locks at +32 mm)");
  input.what_ifs[0].advice.now.ended_early.clear();
  EXPECT_EQ(what_if_rows(input).at(1).at(0), "ride height 60 mm lower");
}

TEST(TiltRows, SayWhatWasTakenForGranted) {
  ReportInput input = made_up_strut_report();
  input.advice.tilt.largest_now_rad = 0.1;
  input.advice.tilt.allowed_plain_rad = input.advice.tilt.allowed_then_rad = 0.2;
  EXPECT_EQ(cell(tilt_rows(input), "taken for granted"), "");
  input.advice.tilt.stud_taken_as_upright = true;
  EXPECT_EQ(cell(tilt_rows(input), "taken for granted"), "the stud stands upright");
}

TEST(FarAway, IsWhatIsMetresOffAndHardlyKnown) {
  EXPECT_TRUE(is_far_away(90000.0, 50000.0));
  EXPECT_TRUE(is_far_away(-90000.0, 50000.0));
  EXPECT_FALSE(is_far_away(90000.0, 500.0));
  EXPECT_FALSE(is_far_away(2.0, 5.0)) << "near zero is not far";
  Advice advice;
  advice.link_line_above_instant_centre_mm = {90000.0, 50000.0};
  EXPECT_EQ(cell(link_rows(advice, LengthUnit::millimetre), "link's line"), "far away");
}

}  // namespace
}  // namespace pivotfix::report
