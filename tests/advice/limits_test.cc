// SPDX-License-Identifier: Apache-2.0
// What the advice says of its limits: reach, thread, tilt, doubt and readings. All corners are invented.
#include <gtest/gtest.h>

#include <cmath>
#include <numeric>
#include <random>
#include <regex>

#include "advice/advice.h"
#include "advice/height.h"
#include "advice/made_up_sets.h"
#include "advice/shares.h"
#include "base/length_words.h"
#include "base/units.h"
#include "corner/example_corners.h"
#include "hardpoints/workshop_words.h"

namespace pivotfix {
namespace {

RodEnd some_rod_end() {
  RodEnd rod_end;
  rod_end.between_now = {{2.54, 1, "0.100 in"}};
  rod_end.stock = {{5.08, 1, "0.200 in"}, {2.54, 1, "0.100 in"}, {1.524, 2, "0.060 in"}};
  return rod_end;
}

std::string all(const std::vector<std::string>& texts) {
  std::string joined;
  for (const std::string& text : texts) joined += with_plain_spaces(text) + "\n";
  return joined;
}

bool has(const std::vector<std::string>& texts, const std::string& part) {
  return all(texts).find(part) != std::string::npos;
}

TEST(Reach, NamesThePairOfSpacersThatWouldDo) {
  RodEnd rod_end;
  rod_end.stock = {{6.0, 1, ""}, {2.0, 1, ""}};
  rod_end.between_now = {{2.0, 1, ""}};
  const Advice advice = advise({high_set(2.0), rod_end, {}, {}});
  EXPECT_FALSE(advice.reached);
  EXPECT_TRUE(
      has(advice.warnings,
          "with the nearest one the rod end sits 2.0 mm too high. A pair of spacers would: 4.00 mm between "
          "steering arm and rod end and 4.00 mm on the other side."))
      << all(advice.warnings);
}

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

TEST(ExactHardpoints, AreNotTakenForASureHeight) {
  HardpointSet set = strut_set();
  const Eigen::Index n = static_cast<Eigen::Index>(3 * set.points.size());
  const char* words = "The hardpoints are given as exact";
  set.covariance_mm2 = Eigen::MatrixXd::Zero(n, n);
  EXPECT_TRUE(has(advise(set, some_rod_end(), Travel{}).warnings, words));
  set.covariance_mm2.diagonal().setConstant(0.02 * 0.02);
  EXPECT_FALSE(has(advise(set, some_rod_end(), Travel{}).warnings, words));
}

TEST(Reach, SaysHowMuchIsMissingWhenAllSpacersAreTooThin) {
  const Advice advice = advise({high_set(11.0), some_rod_end(), {}, {}});
  EXPECT_NEAR(advice.wanted_part.between_mm, 13.54, 1e-5);
  EXPECT_NEAR(advice.wanted_part.short_by_mm, 11.0 - (10.668 - 2.54), 1e-5);
  EXPECT_TRUE(has(advice.warnings,
                  "the rod end sits 2.9 mm too high. All spacers on the stud together are 2.87 mm too thin: "
                  "a spacer that much "
                  "thicker between steering arm and rod end would do, with a stud that is as much longer."))
      << all(advice.warnings);
}

TEST(Reach, SaysWhenTheStudHasNoRoom) {
  RodEnd rod_end = some_rod_end();
  rod_end.stud = {40.0, 12.0, 3.0};
  rod_end.sizes.ball_width_mm = 16.0;
  const Advice advice = advise({high_set(2.0), rod_end, {}, {}});
  EXPECT_TRUE(advice.stacks.empty());
  EXPECT_TRUE(
      has(advice.warnings, "No stack of these spacers is right for the stud: it has room for 9.00 mm"));
  EXPECT_TRUE(
      has(advice.warnings, "As it stands now only 1.3 mm of thread shows beyond the locknut; 3.0 mm must."))
      << all(advice.warnings);
  EXPECT_TRUE(has(advice.sentences, "No stack of these spacers is right for the stud."))
      << all(advice.sentences);
}

// 2.54 mm now and 2.0 mm more are wanted between; 10.668 mm are at hand.
TEST(Reach, ProposesNoPairThatTheStudHasNoRoomFor) {
  RodEnd rod_end = some_rod_end();
  rod_end.sizes.ball_width_mm = 16.0;
  rod_end.stud = {40.0, 12.0, 3.0};
  EXPECT_TRUE(
      has(advise({high_set(2.0), rod_end, {}, {}}).warnings,
          "A pair of spacers would: 4.54 mm between steering arm and rod end and 4.46 mm on the other "
          "side."));
  rod_end.stud = {34.0, 12.0, 3.0};
  EXPECT_TRUE(has(advise({high_set(2.0), rod_end, {}, {}}).warnings,
                  "It takes 4.54 mm between steering arm and rod end: even with none on the other side the "
                  "stud is 1.54 mm too short."));
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

TEST(BareContact, IsNotSoldAsANarrowSpacer) {
  RodEnd rod_end;
  rod_end.between_now = {{4.0, 1, ""}};
  rod_end.sizes.allowed_tilt_rad = rad_from_deg(30.0);
  const char* words = "With no spacer between, the eye of the rod end faces the steering arm itself";
  EXPECT_TRUE(has(advise({high_set(-4.0), rod_end, {}, {}}).warnings, words));
  EXPECT_FALSE(has(advise({high_set(4.0), rod_end, {}, {}}).warnings, words));
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

TEST(Shares, SumToOneWithAnyCovarianceAndTellWhatKnowingOneCoordinateWouldBring) {
  HardpointSet set = strut_set();
  std::mt19937 random(2);
  std::normal_distribution<double> normal(0.0, 1.0);
  Eigen::MatrixXd root(24, 30);
  for (double& element : root.reshaped()) element = 0.08 * normal(random);
  set.covariance_mm2 = root * root.transpose();
  double sum = 0.0;
  for (const HeightShare& share : advise({set, some_rod_end(), {}, {}}).shares) sum += share.share;
  EXPECT_NEAR(sum, 1.0, 1e-12);

  // Without correlations: the variance that is gone when a coordinate is known exactly.
  set = with_sigma(strut_set(), 0.3);
  const Advice advice = advise({set, some_rod_end(), {}, {}});
  ASSERT_EQ(advice.shares.size(), 24U);
  for (std::size_t i = 0; i < 5; ++i) {
    const HeightShare& share = advice.shares[i];
    HardpointSet known = set;
    known.covariance_mm2(static_cast<Eigen::Index>(3 * share.point) + share.coordinate,
                         static_cast<Eigen::Index>(3 * share.point) + share.coordinate) = 0.0;
    const double left = advise({known, some_rod_end(), {}, {}}).best_height_change_mm.sigma;
    const double before = advice.best_height_change_mm.sigma;
    EXPECT_NEAR(share.share, 1.0 - left * left / (before * before), 1e-9) << share.words;
  }
}

TEST(Shares, OfHeightsAreTheLargest) {
  // Derived for made-up cars: heights of joints count ten times as much as their other coordinates.
  for (const Layout layout : {Layout::strut, Layout::double_wishbone}) {
    const Advice advice = advise({with_sigma(example_set(layout), 0.5), some_rod_end(), {}, {}});
    for (std::size_t i = 0; i < 3; ++i) EXPECT_TRUE(advice.shares[i].words.starts_with("height of the "));
  }
}

TEST(Shares, SpeakInWorkshopWordsForEveryHardpoint) {
  for (const Layout layout : {Layout::strut, Layout::double_wishbone})
    for (const std::string& name : hardpoint_names(layout)) {
      const std::string words = workshop_words(name);
      EXPECT_EQ(words.find('_'), std::string::npos);
      EXPECT_NE(words, name);
    }
  EXPECT_EQ(workshop_words("link_inner_joint"), "inner joint of the steering link");
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

TEST(Readings, ChangeTheAdviceWhenTheyFitAndStopItWhenTheyDoNot) {
  const HardpointSet set = with_sigma(strut_set(), 0.8);
  const Corner corner = make_corner(set);
  // The readings are those of a car whose link sits 1.5 mm lower inboard.
  Corner truth = corner;
  truth.points[set.index_of("link_inner_joint")].position_vehicle_mm.z() -= 1.5;
  std::vector<ToeReading> readings;
  for (const double travel_mm : {0.0, 25.4, -25.4})
    readings.push_back({travel_mm, solved_at(truth, travel_mm).toe_rad, rad_from_deg(0.01), 0.2});
  const Advice before = advise({set, some_rod_end(), {}, {}});
  const Advice after = advise({set, some_rod_end(), {}, readings});
  ASSERT_TRUE(after.verification && after.verification->refined);
  EXPECT_TRUE(
      has(after.sentences, "The toe readings fit and are worked in: they bring the best height from "));
  EXPECT_EQ(after.best_height_change_mm.value, after.verification->height_refined_mm.value);
  EXPECT_EQ(before.best_height_change_mm.value, after.verification->height_before_mm.value);
  EXPECT_LT(std::abs(after.best_height_change_mm.value - best_height(truth, Travel{}).height_mm),
            0.3 * std::abs(before.best_height_change_mm.value - best_height(truth, Travel{}).height_mm));

  readings[1].toe_rad += rad_from_deg(1.0);
  const Advice contradicted = advise({set, some_rod_end(), {}, readings});
  EXPECT_TRUE(contradicted.sentences.at(0).starts_with("Do not act on this yet"));
  EXPECT_TRUE(contradicted.warnings.at(0).starts_with("The toe readings contradict the hardpoints"));
  EXPECT_EQ(contradicted.best_height_change_mm.value, before.best_height_change_mm.value);
  EXPECT_TRUE(has(advise({strut_set(), some_rod_end(), {}, readings}).warnings,
                  "so the toe readings are only shown beside them"));
}

TEST(Readings, OnTheRightAreThoseOfTheMirroredCorner) {
  const HardpointSet set = with_sigma(strut_set(), 0.8);
  std::vector<ToeReading> readings = {{0.0, 0.001, 3e-4, 0.5}, {25.4, 0.0005, 3e-4, 0.5}};
  const Advice left = advise({set, some_rod_end(), {}, readings});
  const Advice right = advise({mirrored(set), some_rod_end(), {}, readings});
  EXPECT_EQ(left.best_height_change_mm.value, right.best_height_change_mm.value);
  EXPECT_EQ(left.sentences, right.sentences);
  ASSERT_EQ(left.shares.size(), right.shares.size());
  for (std::size_t i = 0; i < 8; ++i)
    EXPECT_NEAR(left.shares[i].mm_per_mm,
                (right.shares[i].coordinate == 1 ? -1.0 : 1.0) * right.shares[i].mm_per_mm, 1e-9);
}

}  // namespace
}  // namespace pivotfix
