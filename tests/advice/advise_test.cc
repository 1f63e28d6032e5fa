// SPDX-License-Identifier: Apache-2.0
// The whole advice: figures that fit together, and its words to the letter. All corners are invented.
#include <gtest/gtest.h>

#include <string>

#include "advice/advice.h"
#include "advice/made_up_sets.h"
#include "base/length_words.h"
#include "base/problem.h"
#include "base/units.h"
#include "corner/example_corners.h"

namespace pivotfix {
namespace {

const Travel travel{40.0, 40.0};

RodEnd some_rod_end() {
  RodEnd rod_end;
  rod_end.between_now = {{2.54, 1, "0.100 in"}};
  rod_end.stock = {{5.08, 1, "0.200 in"}, {2.54, 1, "0.100 in"}, {1.524, 2, "0.060 in"}};
  return rod_end;
}

// Rear steer, link as long as the arms, outer end 4.064 mm too high: two spacers cure it completely.
HardpointSet curable_set() {
  Parallelogram high;
  high.outer_high_mm = 4.064;
  return high.set();
}

bool has(const std::vector<std::string>& texts, const std::string& part) {
  for (const std::string& text : texts)
    if (with_plain_spaces(text).find(part) != std::string::npos) return true;
  return false;
}

std::vector<std::string> plain(const std::vector<std::string>& sentences) {
  std::vector<std::string> texts;
  for (const std::string& sentence : sentences) texts.push_back(with_plain_spaces(sentence));
  return texts;
}

TEST(Advise, SaysWhatToPutWhereAndWhatItBrings) {
  const Advice advice = advise(curable_set(), some_rod_end(), travel);
  const std::vector<std::string> expected = {
      "Put 0.200 in + 0.060 in (6.60 mm) between steering arm and rod end; now 2.54 mm.",
      "On the other side of the rod end: 0.100 in + 0.060 in (4.06 mm), so that the nut clamps 10.67 mm of "
      "spacers in all.",
      "The outer end of the steering link sits 4.1 mm too high: in bump the wheel toes out 0.12 deg per "
      "inch.",
      "Toe change over 40 mm bump and 40 mm droop falls from 0.19 to 0.00 deg.",
      "Then set toe of this wheel at ride height back to what it was (read it before you start), or to what "
      "the maker "
      "wants, "
      "with the length of the steering link."};
  EXPECT_EQ(plain(advice.sentences), expected);
  const std::vector<std::string> limits = {
      "All spacers named are taken to be on the stud, 10.67 mm in all. If some lie in the box, say in the "
      "job, or with --other-side, which stand on the rod end's other side now.",
      "The hardpoints came without uncertainties, so the height has none either."};
  EXPECT_EQ(plain(advice.warnings), limits);
  EXPECT_NEAR(advice.best_height_change_mm.value, -4.064, 1e-6);
  EXPECT_EQ(advice.best_height_change_mm.sigma, 0.0);
  EXPECT_NEAR(advice.mismatch_rad.value, std::atan2(4.064, 350.0), 1e-12);
  ASSERT_EQ(advice.heights.size(), 3U);
  EXPECT_EQ(advice.heights[2].aim, HeightAim::zero_slope);
  EXPECT_NEAR(advice.heights[2].height_change_mm.value, -4.064, 1e-6);
  EXPECT_NEAR(advice.parallel_link.rod_end_height_mm, -4.064, 1e-9);
  EXPECT_EQ(advice.now.title, "as it is");
  EXPECT_LT(advice.with_stack.largest_change_rad, 1e-9);
}

TEST(Advise, TurnsTheStackAroundForARodEndAboveTheArm) {
  RodEnd rod_end = some_rod_end();
  rod_end.mount = RodEndMount::above_arm;
  const Advice advice = advise(curable_set(), rod_end, travel);
  EXPECT_EQ(plain(advice.sentences).at(0),
            "Take all spacers out between steering arm and rod end; now 2.54 mm.");
  EXPECT_TRUE(
      has(advice.warnings,
          "with the nearest one the rod end sits 1.5 mm too high. Even bare contact leaves it 1.52 mm "
          "too high: the rack, or the link's inner end, about 1.5 mm higher would do."));
  // Not to keep what was just ordered out.
  EXPECT_TRUE(has(advice.warnings, "Once they are out, move the wheel by hand through its whole travel"));
  EXPECT_FALSE(has(advice.warnings, "Keep a narrow spacer there"));
}

TEST(Advise, LeavesAloneWhatIsRight) {
  const Advice advice = advise(Parallelogram{}.set(), some_rod_end(), travel);
  EXPECT_EQ(plain(advice.sentences).at(0),
            "Leave the spacers as they are: 2.54 mm between steering arm and rod end.");
  EXPECT_EQ(plain(advice.sentences).at(1), "The outer end of the steering link is at its best height.");
  EXPECT_EQ(plain(advice.sentences).at(2), "Toe change over 40 mm bump and 40 mm droop stays at 0.00 deg.");
  EXPECT_EQ(advice.sentences.size(), 3U);
}

TEST(Advise, SaysHowFarToMoveWhenNoSpacersAreNamed) {
  const Advice advice = advise(with_sigma(curable_set(), 0.2), RodEnd{}, travel);
  EXPECT_TRUE(advice.stacks.empty());
  EXPECT_TRUE(advice.with_stack.travel_mm.empty());
  EXPECT_EQ(plain(advice.sentences).at(0).substr(0, 56),
            "Lower the outer end of the steering link by 4.1 mm ± 0.");
}

TEST(Advise, TakesAStockOfNothingButZerosForNoSpacers) {
  RodEnd used_up;
  used_up.stock = {{3.0, 0, ""}, {5.0, 0, ""}};
  const Advice none = advise(curable_set(), RodEnd{}, travel);
  const Advice zeros = advise(curable_set(), used_up, travel);
  EXPECT_EQ(zeros.sentences, none.sentences);
  EXPECT_EQ(zeros.warnings, none.warnings);
}

TEST(Advise, WarnsWhenTheHeightIsTooUncertainForTheStacks) {
  RodEnd rod_end = some_rod_end();
  rod_end.stock.at(0).count = 4;
  const Advice precise = advise(with_sigma(strut_set(), 0.02), rod_end, travel);
  EXPECT_FALSE(has(precise.warnings, "either may be the better one"));
  const Advice vague = advise(with_sigma(strut_set(), 1.0), rod_end, travel);
  EXPECT_TRUE(has(vague.warnings, "either may be the better one"));
  EXPECT_TRUE(has(vague.warnings, "has the largest share in it"));
  EXPECT_GT(vague.best_height_change_mm.sigma, 1.0);
  EXPECT_LT(vague.best_height_change_mm.sigma, 4.0);
  EXPECT_NEAR(vague.best_height_change_mm.sigma / precise.best_height_change_mm.sigma, 50.0, 1e-6);
  EXPECT_GT(vague.mismatch_rad.sigma, 0.0);
  EXPECT_GT(vague.effective_mismatch_rad.sigma, 0.0);
}

TEST(Advise, WarnsOfCurvatureThatNoSpacerCures) {
  Parallelogram short_link;
  short_link.link_across_mm = 300.0;
  const Advice advice = advise(short_link.set(), some_rod_end(), travel);
  EXPECT_TRUE(has(advice.warnings, "stay even at the best height, the same way in bump and in droop"));
  EXPECT_FALSE(has(advise(curable_set(), some_rod_end(), travel).warnings, "even at the best height"));
}

TEST(Advise, WarnsWhereTheCornerLocks) {
  Parallelogram small;
  small.arm_mm = 80.0;
  small.link_across_mm = 80.0;
  small.outer_high_mm = 3.0;
  const Advice advice = advise(small.set(), some_rod_end(), {120.0, 30.0});
  EXPECT_TRUE(has(advice.warnings, "there it locks"));
  EXPECT_FALSE(advice.now.ended_early.empty());
  EXPECT_NEAR(advice.best_height_change_mm.value, -3.0, 0.01);
}

TEST(Advise, DoesNotCompareStacksThatAreAllFarAway) {
  const Advice advice = advise(with_sigma(strut_set(), 0.5), some_rod_end(), travel);
  EXPECT_TRUE(has(advice.warnings, "No stack of these spacers comes within 0.5 mm"));
  EXPECT_TRUE(has(advice.sentences, "this one is the nearest and leaves the rod end"));
  EXPECT_FALSE(has(advice.warnings, "either may be the better one"));
}

TEST(Advise, SaysThatSpacersCannotCureALinkFromTheInstantCentre) {
  HardpointSet set = converging_set(-979.245283, 269.433962);
  const Advice advice = advise(set, some_rod_end(), {5.0, 5.0});
  EXPECT_EQ(plain(advice.sentences).at(0),
            "Spacers cannot cure this: moving the rod end along its stud hardly changes the toe curve.");
  EXPECT_TRUE(advice.stacks.empty());
}

// A spreadsheet has no place for toe, and a job may leave it out: both count as zero.
TEST(Advise, NamesTheToeToSetBackToOnlyWhereItWasRead) {
  HardpointSet set = curable_set();
  set.wheel = {rad_from_deg(0.15), 0.0, 406.4, true, false};
  EXPECT_EQ(plain(advise(set, some_rod_end(), travel).sentences).back(),
            "Then set toe of this wheel at ride height back to 0.15 deg toe-in with the length of the "
            "steering link.");
  const HardpointSet points_only = hardpoints_from_csv(hardpoints_to_csv(set), "points.csv");
  EXPECT_EQ(plain(advise(points_only, some_rod_end(), travel).sentences).back(),
            "Then set toe of this wheel at ride height back to what it was (read it before you start), or to "
            "what the maker "
            "wants, with the length of the steering link.");
  set.wheel.toe_rad = 0.0;
  EXPECT_EQ(
      plain(advise(set, some_rod_end(), travel).sentences).back(),
      "Then set toe of this wheel at ride height back to 0.00 deg with the length of the steering link.");
}

TEST(Advise, NamesToeInAndToeOut) {
  HardpointSet set = curable_set();
  set.wheel = {rad_from_deg(-0.15), 0.0, 406.4, true, false};
  EXPECT_EQ(plain(advise(set, some_rod_end(), travel).sentences).back(),
            "Then set toe of this wheel at ride height back to 0.15 deg toe-out with the length of the "
            "steering link.");
}

TEST(Advise, IsTheSameForTheMirroredCorner) {
  for (const Layout layout : {Layout::strut, Layout::double_wishbone}) {
    HardpointSet set = random_plausible_set(layout, 12);
    const Eigen::Index n = static_cast<Eigen::Index>(3 * set.points.size());
    Eigen::MatrixXd root = Eigen::MatrixXd::Identity(n, n);
    for (Eigen::Index i = 1; i < n; ++i) root(i, i - 1) = 0.5;
    set.covariance_mm2 = 0.04 * root * root.transpose();
    const HardpointSet right = mirrored(set);
    const Advice a = advise(set, *set.rod_end, travel);
    const Advice b = advise(right, *right.rod_end, travel);
    EXPECT_EQ(b.side, Side::right);
    EXPECT_EQ(a.best_height_change_mm.value, b.best_height_change_mm.value);
    EXPECT_NEAR(a.best_height_change_mm.sigma, b.best_height_change_mm.sigma, 1e-12);
    EXPECT_EQ(a.sentences, b.sentences);
  }
}

TEST(Advise, GivesEachStackTheCurveOfItsHeight) {
  const Advice advice = advise(strut_set(), some_rod_end(), travel);
  ASSERT_EQ(advice.stacks.size(), 5U);
  EXPECT_EQ(advice.with_stack.rod_end_height_mm, advice.stacks.front().height_change_mm);
  for (const Stack& stack : advice.stacks) {
    const Corner corner = with_rod_end_height(make_corner(strut_set()), stack.height_change_mm);
    EXPECT_NEAR(stack.one_inch_change_rad, solved_at(corner, 25.4).toe_rad - strut_set().wheel.toe_rad,
                1e-13);
  }
  EXPECT_LE(advice.best.largest_change_rad, advice.now.largest_change_rad);
}

TEST(Advise, RefusesWhatCannotBeSolved) {
  HardpointSet set = strut_set();
  set.points.pop_back();
  EXPECT_THROW(advise(set, some_rod_end(), travel), Problem);
  EXPECT_THROW(advise(strut_set(), some_rod_end(), {0.0, 0.0}), Problem);
  EXPECT_THROW(advise(strut_set(), some_rod_end(), {std::nan(""), 40.0}), Problem);
}

// Arms of 350 mm want a link of 350 mm.
TEST(Advise, SaysHowMuchTheLinkIsTooShortWhereNoSpacerCuresTheCurve) {
  Parallelogram parallelogram;
  parallelogram.link_across_mm = 300.0;
  const Advice advice = advise(parallelogram.set(), RodEnd{}, {50.0, 50.0});
  bool told = false;
  for (const std::string& warning : advice.warnings)
    told = told || with_plain_spaces(warning).find(
                       "The link is 50 mm too short for its place: with the inner joint 50 mm further "
                       "inboard along the link") != std::string::npos;
  EXPECT_TRUE(told);
}

TEST(Drivings, AreAllLookedAtWithTheUsersOwnFirst) {
  const Advice advice = advise({strut_set(), some_rod_end(), driving_named("track"), {}});
  ASSERT_EQ(advice.drivings.size(), 4U);
  EXPECT_EQ(advice.drivings[0].driving.name, "track");
  EXPECT_EQ(advice.drivings[0].best_height_change_mm, advice.best_height_change_mm.value);
  EXPECT_EQ(advice.drivings[0].largest_now_rad, advice.now.largest_change_rad);
  EXPECT_EQ(advice.drivings[0].largest_chosen_rad, advice.with_stack.largest_change_rad);
  for (const DrivingResult& result : advice.drivings) {
    const Advice own = advise({strut_set(), some_rod_end(), result.driving, {}});
    EXPECT_NEAR(own.best_height_change_mm.value, result.best_height_change_mm, 1e-7) << result.driving.name;
    EXPECT_NEAR(own.best.largest_change_rad, result.largest_best_rad, 1e-9) << result.driving.name;
  }
}

TEST(Heights, OfEveryAimAreListedWithTheirOwnFigures) {
  Driving driving;
  driving.aim = HeightAim::smallest_peak;
  const Advice advice = advise({strut_set(), some_rod_end(), driving, {}});
  ASSERT_EQ(advice.heights.size(), 3U);
  EXPECT_EQ(advice.heights[1].height_change_mm.value, advice.best_height_change_mm.value);
  for (const AimedHeight& height : advice.heights) {
    EXPECT_TRUE(height.found);
    EXPECT_GE(height.largest_change_rad, advice.heights[1].largest_change_rad)
        << "the smallest peak is smallest";
  }
}

}  // namespace
}  // namespace pivotfix
