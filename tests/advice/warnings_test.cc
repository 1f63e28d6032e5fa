// SPDX-License-Identifier: Apache-2.0
// What the advice says of its limits: odd input, tilt, doubt. All corners are invented.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <regex>
#include <string>
#include <utility>
#include <vector>

#include "advice/made_up_sets.h"
#include "advice/wording.h"
#include "advice/words_of_advice.h"
#include "base/units.h"

namespace pivotfix {
namespace {

TEST(UnusualHeight, AsksToCheckTheHardpoints) {
  const char* words = " is more than spacers usually cure: check the hardpoints.";
  EXPECT_FALSE(has(advise({high_set(29.0), some_rod_end(), {}, {}}).warnings, words));
  EXPECT_TRUE(has(advise({high_set(31.0), some_rod_end(), {}, {}}).warnings,
                  "A change of 31.0 mm" + std::string(words)));
}

TEST(BoxOfSpacers, IsAskedAboutWhereNobodySaidWhatIsOnTheStud) {
  RodEnd rod_end = some_rod_end();
  const char* words = "All spacers named are taken to be on the stud, 10.67 mm in all.";
  EXPECT_TRUE(has(advise({high_set(2.0), rod_end, {}, {}}).warnings, words));
  rod_end.other_side_now = {{5.08, 1, "0.200 in"}};
  EXPECT_FALSE(has(advise({high_set(2.0), rod_end, {}, {}}).warnings, "All spacers named"));
}

TEST(FarSide, AsksForTheSignOfAPointBeyondTheCarsMiddle) {
  HardpointSet set = strut_set();
  const char* words =
      "The inner joint of the steering link lies 372 mm beyond the car's middle, on the other side: is the "
      "sign of its y right?";
  EXPECT_FALSE(has(advise({set, some_rod_end(), {}, {}}).warnings, words));
  set.points[set.index_of("link_inner_joint")].position_vehicle_mm.y() = -372.0;
  EXPECT_TRUE(has(advise({set, some_rod_end(), {}, {}}).warnings, words));
}

TEST(ShortTravel, IsAskedForItsUnit) {
  const char* words = "Bump and droop together are 4.0 mm only";
  EXPECT_TRUE(has(advise(strut_set(), some_rod_end(), {2.0, 2.0}).warnings, words));
  EXPECT_FALSE(has(advise(strut_set(), some_rod_end(), {25.4, 0.0}).warnings, words));
  const char* one = "Bump is 1.6 mm only";
  EXPECT_TRUE(has(advise(strut_set(), some_rod_end(), {1.575, 40.0}).warnings, one)) << "inches for mm";
  EXPECT_TRUE(has(advise(strut_set(), some_rod_end(), {40.0, 4.0}).warnings, "Droop is 4.0 mm only"));
  EXPECT_FALSE(has(advise(strut_set(), some_rod_end(), {25.4, 0.0}).warnings, "only, less than any"));
}

// Toe change in degrees at so many millimetres, of the curve that is left at the best height.
std::string warned_of_curve(const std::vector<std::pair<double, double>>& curve) {
  Advice advice;
  for (const auto& [travel_mm, toe_deg] : curve) {
    advice.best.travel_mm.push_back(travel_mm);
    advice.best.toe_change_rad.push_back(rad_from_deg(toe_deg));
    advice.best.largest_change_rad =
        std::max(advice.best.largest_change_rad, std::abs(rad_from_deg(toe_deg)));
  }
  advice.now = advice.best;
  advice.link_fit.has_ideal_length = true;
  advice.link_fit.link_length_mm = 340.0;
  advice.link_fit.ideal_link_length_mm = 350.0;
  BestHeight best;
  best.found = true;
  return all(warnings_of(advice, make_corner(high_set(0.0)), RodEnd{}, best));
}

TEST(CurveLeftOver, IsSaidToBendTheSameWayOnlyWhereItDoesSoOnItsWholeWay) {
  const auto has_words = [](const std::string& text) {
    EXPECT_NE(text.find("deg of toe change stay even at the best height"), std::string::npos) << text;
    const bool same = text.find("the same way in bump and in droop") != std::string::npos;
    EXPECT_EQ(text.find("the curve would be flat near ride height") != std::string::npos, same) << text;
    return same;
  };
  EXPECT_TRUE(has_words(warned_of_curve({{-40, 0.30}, {-20, 0.08}, {0, 0.0}, {20, 0.07}, {40, 0.28}})));
  EXPECT_TRUE(has_words(warned_of_curve({{-40, -0.30}, {-10, 0.01}, {0, 0.0}, {20, -0.07}, {40, -0.28}})));
  // To 300 mm of droop it goes out first and then far in; the ends alone have the same sign.
  EXPECT_FALSE(
      has_words(warned_of_curve({{-300, 2.375}, {-240, -0.2}, {-160, -0.81}, {0, 0.0}, {10, 0.075}})));
  EXPECT_FALSE(has_words(warned_of_curve({{-300, 3.9}, {-160, -0.27}, {0, 0.0}, {160, 0.5}, {300, 24.8}})));
  EXPECT_FALSE(has_words(warned_of_curve({{-40, -0.3}, {0, 0.0}, {40, 0.35}})));
  EXPECT_FALSE(has_words(warned_of_curve({{-40, 0.3}, {0, 0.0}}))) << "no bump at all";
}

TEST(ExactHardpoints, AreNotTakenForASureHeight) {
  HardpointSet set = strut_set();
  const Eigen::Index n = static_cast<Eigen::Index>(3 * set.points.size());
  const char* words = "The hardpoints are given as exact";
  set.covariance_mm2 = Eigen::MatrixXd::Zero(n, n);
  EXPECT_TRUE(has(advise(set, some_rod_end(), Travel{}).warnings, words));
  set.covariance_mm2.diagonal().setConstant(0.02 * 0.02);
  EXPECT_FALSE(has(advise(set, some_rod_end(), Travel{}).warnings, words));
}

TEST(ExactHardpoints, HaveNoUncertaintyInTheWordsOfTheAnswer) {
  const Advice exact = advise(with_sigma(high_set(4.0), 1e-4), some_rod_end(), Travel{});
  ASSERT_GT(exact.best_height_change_mm.sigma, 0.0);
  EXPECT_TRUE(has(exact.sentences, " sits 4.0 mm too high")) << all(exact);
  EXPECT_TRUE(has(advise(with_sigma(high_set(4.0), 0.02), some_rod_end(), Travel{}).sentences,
                  " sits 4.0 mm ± 0.1 mm too high"));
}

TEST(RoundLengths, HaveNoZeroAfterThePointHoweverTheyWereGiven) {
  EXPECT_EQ(with_plain_spaces(round_mm_words(1.3 * mm_per_inch)), "33 mm");
  EXPECT_EQ(with_plain_spaces(round_mm_words(50.0)), "50 mm");
  EXPECT_EQ(with_plain_spaces(round_mm_words(25.4)), "25.4 mm");
  EXPECT_EQ(with_plain_spaces(round_mm_words(32.97)), "33 mm");
}

TEST(TiltWarning, ComesWhenTheRodEndBindsAndStaysAwayWhenItDoesNot) {
  RodEnd rod_end = some_rod_end();
  rod_end.sizes.allowed_tilt_rad = rad_from_deg(5.0);
  const Advice binds = advise({high_set(4.064), rod_end, {}, {}});
  EXPECT_TRUE(has(binds.warnings, "The rod end binds: at 40 mm of "));
  EXPECT_TRUE(
      has(binds.warnings, "it must tilt 6.6 deg, and 5.0 deg are allowed. Do not drive it like that."));
  rod_end.sizes.allowed_tilt_rad = rad_from_deg(9.5);
  const Driving far{"", {55.0, 55.0}, {}};
  EXPECT_TRUE(has(advise({high_set(4.064), rod_end, far, {}}).warnings, "The rod end is near its limit"));
  rod_end.sizes.allowed_tilt_rad = rad_from_deg(13.0);
  const Advice turns = advise({high_set(4.064), rod_end, {}, {}});
  EXPECT_FALSE(has(turns.warnings, "it must tilt")) << all(turns.warnings);
}

// Where toe shall be flat is not all that the wheel moves over: two inches either way is common practice.
TEST(TiltWarning, LooksBeyondTheTravelThatWasAskedFor) {
  RodEnd rod_end = some_rod_end();
  rod_end.sizes.allowed_tilt_rad = rad_from_deg(7.0);
  const Advice advice = advise({high_set(4.064), rod_end, {"", {25.4, 0.0}, {}}, {}});
  ASSERT_LT(advice.tilt.largest_then_rad, rad_from_deg(5.5));
  EXPECT_TRUE(has(advice.warnings, "Beyond the travel asked for the rod end binds: at 51 mm of "))
      << all(advice.warnings);
  EXPECT_FALSE(has(advice.sentences, "binds")) << "not within what was asked for";
}

TEST(TiltWarning, JudgesTheStackThatIsOrdered) {
  RodEnd rod_end = some_rod_end();
  rod_end.sizes.allowed_tilt_rad = rad_from_deg(30.0);
  const Advice stays = advise({high_set(0.1), rod_end, {}, {}});
  ASSERT_FALSE(stays.worth_changing);
  EXPECT_EQ(stays.tilt.largest_then_rad, stays.tilt.largest_now_rad);
}

TEST(CoarseHeight, IsNeitherNearEnoughNorNoNeedToChange) {
  RodEnd rod_end;
  rod_end.stock = {{2.0, 1, ""}};
  const Advice vague = advise({with_sigma(high_set(11.0), 9.0), rod_end, {}, {}});
  ASSERT_GT(vague.best_height_change_mm.sigma, 11.0);
  EXPECT_TRUE(
      has(vague.sentences, "measured too coarsely to tell. Measure again before you change anything."))
      << all(vague.sentences);
  EXPECT_FALSE(has(vague.sentences, "no need to change"));
}

TEST(Binding, StandsBesideTheOrderAndNotOnlyAmongWhatLimitsIt) {
  const std::string words = "Do not drive it like that: the rod end binds. It must tilt ";
  RodEnd rod_end = some_rod_end();
  rod_end.sizes.allowed_tilt_rad = rad_from_deg(5.0);
  const Advice binds = advise({high_set(4.064), rod_end, {}, {}});
  ASSERT_GT(binds.sentences.size(), 1U);
  EXPECT_EQ(with_plain_spaces(binds.sentences[1]), words + "6.6 deg, and 5.0 deg are allowed.");
  const Advice stays = advise({high_set(0.0), rod_end, {}, {}});
  ASSERT_FALSE(stays.worth_changing);
  EXPECT_TRUE(has(stays.sentences, words)) << all(stays.sentences);
  rod_end.sizes.allowed_tilt_rad = rad_from_deg(13.0);
  EXPECT_FALSE(has(advise({high_set(4.064), rod_end, {}, {}}).sentences, "binds"));
}

TEST(Neighbours, AreToldApartOrSaidToBeAlikeWithWhatToMeasureAgain) {
  RodEnd rod_end = some_rod_end();
  rod_end.stock = {{2.0, 4, ""}, {1.0, 1, ""}};
  rod_end.between_now = {};
  const Advice vague = advise({with_sigma(high_set(3.3), 0.5), rod_end, {}, {}});
  EXPECT_TRUE(std::regex_search(
      all(vague.warnings),
      std::regex(
          "either may be the better one \\(the first with [5-9][0-9] %\\)\\. Measure the height of the "
          "[a-z ]+ again: [0-9]+ % of the doubt comes from it\\.")))
      << all(vague.warnings);
  EXPECT_LT(vague.first_is_better, 0.85);
  EXPECT_GT(vague.first_is_better, 0.5);
  const Advice sure = advise({with_sigma(high_set(3.05), 0.02), rod_end, {}, {}});
  EXPECT_FALSE(has(sure.warnings, "either may be"));
  EXPECT_GT(sure.first_is_better, 0.999);
}

TEST(Neighbours, ProbabilityIsThatOfManyTries) {
  RodEnd rod_end;
  rod_end.stock = {{2.0, 4, ""}, {1.0, 1, ""}};
  const HardpointSet set = with_sigma(high_set(3.35), 0.3);
  const Advice advice = advise({set, rod_end, {}, {}});
  const double middle = 0.5 * (advice.stacks[0].height_change_mm + advice.stacks[1].height_change_mm);
  std::mt19937 random(4);
  std::normal_distribution<double> normal(0.0, 0.3);
  int first = 0;
  constexpr int tries = 1500;  // scatters by 1.3 %
  const Corner corner = make_corner(set);
  for (int i = 0; i < tries; ++i) {
    Corner moved = corner;
    for (Hardpoint& point : moved.points)
      for (double& coordinate : point.position_vehicle_mm) coordinate += normal(random);
    const double best = best_height(moved, Travel{40.0, 40.0}).height_mm;
    first += (best > middle) == (advice.stacks[0].height_change_mm > middle) ? 1 : 0;
  }
  EXPECT_NEAR(static_cast<double>(first) / tries, advice.first_is_better, 0.04);
}

}  // namespace
}  // namespace pivotfix
