// SPDX-License-Identifier: Apache-2.0
// Corners that a change would make lock earlier: what is compared, what is ordered, what is said.
#include "advice/free_travel.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>

#include "advice/judgement.h"
#include "advice/made_up_sets.h"
#include "advice/words_of_advice.h"
#include "base/units.h"

namespace pivotfix {
namespace {

const Travel whole{73.0, 127.0};

// By the solver itself, over travel that the corner reaches.
double largest_deg(double height_mm, const Travel& travel) {
  const Corner corner = make_corner(short_link_set());
  const Curve curve = solve_curve(with_rod_end_height(corner, height_mm), travel, 1.0);
  EXPECT_EQ(curve.ended_early, "");
  double largest_rad = 0.0;
  for (const CornerState& state : curve.states)
    largest_rad = std::max(largest_rad, std::abs(state.toe_rad - corner.wheel.toe_rad));
  return deg_from_rad(largest_rad);
}

TEST(FreeTravel, IsWhatBothCurvesReachOfWhatWasAsked) {
  ToeCurve now;
  now.travel_mm = {-36.4, 0.0, 34.0};
  ToeCurve then;
  then.travel_mm = {-48.3, 0.0, 33.2};
  const Travel both = reached_by_both(now, then, {34.0, 58.0});
  EXPECT_EQ(both.bump_mm, 33.0);
  EXPECT_EQ(both.droop_mm, 36.0);
  const Travel asked = reached_by_both(now, now, {34.0, 36.4});
  EXPECT_EQ(asked.bump_mm, 34.0);
  EXPECT_EQ(asked.droop_mm, 36.4) << "nothing locks within it";
}

// The best height goes on to 48 mm of droop and has its largest change there, where the stack has locked.
TEST(FreeTravel, IsWhereAStackIsNearEnoughOrNot) {
  Advice advice;
  advice.travel = {10.0, 58.0};
  advice.best.travel_mm = {-48.0, -36.0, 0.0, 10.0};
  advice.best.toe_change_rad = {0.06, 0.01, 0.0, -0.01};
  advice.best.largest_change_rad = 0.06;
  advice.with_stack.travel_mm = {-36.0, 0.0, 10.0};
  advice.with_stack.toe_change_rad = {0.05, 0.0, -0.01};
  advice.with_stack.largest_change_rad = 0.05;
  advice.wanted_part.short_by_mm = 16.0;
  EXPECT_EQ(how_near_enough(advice), NearEnough::no);
  advice.with_stack.toe_change_rad.front() = 0.0105;
  EXPECT_EQ(how_near_enough(advice), NearEnough::hardly_shows);
}

TEST(FreeTravel, CountsTheEndsBetweenTheCurvesPointsAndNothingBeyond) {
  ToeCurve curve;
  curve.travel_mm = {-4.0, -2.0, 0.0, 2.0};
  curve.toe_change_rad = {0.9, 0.5, 0.0, -0.6};
  EXPECT_NEAR(largest_change_rad(curve, {2.0, 3.0}), 0.7, 1e-12);
  EXPECT_NEAR(largest_change_rad(curve, {2.0, 2.0}), 0.6, 1e-12);
  EXPECT_NEAR(largest_change_rad(curve, {1.0, 1.0}), 0.3, 1e-12);
}

TEST(FreeTravel, IsNamedWithBothToeChangesOverIt) {
  const Advice advice = advise(short_link_set(), RodEnd{}, whole);
  ASSERT_EQ(advice.now.travel_mm.front(), -127.0);
  ASSERT_EQ(advice.best.travel_mm.front(), -112.0);
  const Travel named{73.0, 112.0};
  char words[160];
  std::snprintf(words, sizeof words,
                "Toe change over 73 mm bump and 112 mm droop, where it locks, falls from %.2f to %.2f deg.",
                largest_deg(0.0, named), largest_deg(advice.best_height_change_mm.value, named));
  EXPECT_TRUE(has(advice.sentences, words)) << words << "\n" << all(advice);
  EXPECT_LT(largest_deg(0.0, named), largest_deg(0.0, whole) - 1.0) << "else this proves little";
}

// 20 mm on either side; what is between may be swapped against these.
RodEnd with_spacers(const std::vector<Spacer>& stock) {
  RodEnd rod_end;
  rod_end.mount = RodEndMount::above_arm;
  rod_end.between_now = {{20.0, 1, ""}};
  rod_end.other_side_now = std::vector<Spacer>{{20.0, 1, ""}};
  rod_end.stock = stock;
  return rod_end;
}

double reached_droop_mm(double height_mm) {
  const Corner corner = with_rod_end_height(make_corner(short_link_set()), height_mm);
  return -solve_curve(corner, whole, 1.0).states.front().travel_mm;
}

// 5 mm would be nearest to the best height, then 10 mm; both lock. 15 mm stays free.
TEST(Locking, StackIsPassedOverForOneThatStaysAsFreeAsToday) {
  ASSERT_LT(reached_droop_mm(-15.0), 120.0);
  ASSERT_LT(reached_droop_mm(-10.0), 120.0);
  ASSERT_EQ(reached_droop_mm(-5.0), 127.0);
  const Advice advice =
      advise(short_link_set(), with_spacers({{20.0, 2, ""}, {10.0, 4, ""}, {5.0, 8, ""}}), whole);
  ASSERT_LT(advice.best_height_change_mm.value, -12.6) << "nearer to 15 mm lower than to 10 mm";
  EXPECT_NEAR(advice.stacks.front().height_change_mm, -5.0, 1e-9);
  EXPECT_EQ(advice.with_stack.ended_early, "");
  ASSERT_TRUE(advice.passed_over);
  EXPECT_NEAR(advice.passed_over->stack.height_change_mm, -15.0, 1e-9);
  EXPECT_TRUE(
      with_plain_spaces(advice.sentences.at(1))
          .starts_with("Better for toe would be 5.00 mm (5.00 mm), but with that the corner locks at 109 mm "
                       "of droop (today: free to 127 mm)."))
      << all(advice);
  EXPECT_TRUE(has(advice.sentences, "This stack leaves the rod end 8.1 mm too high.")) << all(advice);
  EXPECT_FALSE(says(advice, "No stack of these spacers")) << all(advice);
  for (const Stack& stack : advice.stacks) EXPECT_EQ(reached_droop_mm(stack.height_change_mm), 127.0);
}

TEST(Locking, LeavesTodaysStackWhereEveryBetterOneLocks) {
  const Advice advice = advise(short_link_set(), with_spacers({{20.0, 2, ""}, {10.0, 2, ""}}), whole);
  ASSERT_TRUE(advice.passed_over);
  EXPECT_NEAR(advice.stacks.front().height_change_mm, 0.0, 1e-9);
  EXPECT_EQ(with_plain_spaces(advice.sentences.at(0)),
            "Leave the spacers as they are: 20.00 mm between steering arm and rod end.");
  EXPECT_TRUE(
      has(advice.sentences, "but with that the corner locks at 117 mm of droop (today: free to 127 mm)."))
      << all(advice);
}

TEST(Locking, OfAChangeWithoutSpacersIsSaidBesideTheOrder) {
  const Advice advice = advise(short_link_set(), RodEnd{}, whole);
  EXPECT_EQ(with_plain_spaces(advice.sentences.at(1)),
            "With this change the corner locks at 112 mm of droop (today: free to 127 mm). Do not drive it "
            "like that "
            "unless something else stops the wheel before.");
  const Advice less = advise(short_link_set(), RodEnd{}, Travel{73.0, 100.0});
  EXPECT_FALSE(has(less.sentences, "lock")) << all(less);
}

TEST(Locking, IsNamedForBothWaysAndAgainstWhereItLocksToday) {
  EXPECT_EQ(with_plain_spaces(locks_at_words({50.0, 30.0}, {60.0, 36.0}, {60.0, 58.0})),
            "50 mm of bump (today: free to 60 mm) and at 30 mm of droop (today: at 36 mm)");
  EXPECT_FALSE(locks_before({60.0, 36.0}, {60.0, 36.0}));
  EXPECT_FALSE(locks_before({60.0, 48.0}, {60.0, 36.0})) << "later than today";
}

}  // namespace
}  // namespace pivotfix
