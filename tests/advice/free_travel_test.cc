// SPDX-License-Identifier: Apache-2.0
// Corners that a change would make lock earlier: what is compared, what is ordered, what is said.
#include "advice/free_travel.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>

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

}  // namespace
}  // namespace pivotfix
