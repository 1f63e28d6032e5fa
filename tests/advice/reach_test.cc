// SPDX-License-Identifier: Apache-2.0
// What to do when the spacers do not reach, and what is said of what was taken for granted.
#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>
#include <ctime>

#include "advice/advice.h"
#include "advice/made_up_sets.h"
#include "advice/stack.h"
#include "advice/tilt.h"
#include "base/length_words.h"
#include "base/time_factor.h"
#include "base/units.h"
#include "corner/example_corners.h"

namespace pivotfix {
namespace {

std::string all(const Advice& advice) {
  std::string joined;
  for (const auto* texts : {&advice.sentences, &advice.warnings})
    for (const std::string& text : *texts) joined += with_plain_spaces(text) + "\n";
  return joined;
}

bool says(const Advice& advice, const std::string& part) {
  return all(advice).find(part) != std::string::npos;
}

// 10 mm between and 5 mm beyond; 3 mm lie in the box, and 3 mm more are wanted between.
RodEnd with_a_box(double stud_mm) {
  RodEnd rod_end;
  rod_end.between_now = {{10.0, 1, ""}};
  rod_end.other_side_now = std::vector<Spacer>{{5.0, 1, ""}};
  rod_end.stock = {{10.0, 1, ""}, {5.0, 1, ""}, {3.0, 1, ""}};
  rod_end.sizes.ball_width_mm = 14.0;
  if (stud_mm > 0.0) rod_end.stud = {stud_mm, 10.0, 3.0};
  return rod_end;
}

TEST(Box, MayBeUsedWhereTheStudHasTheThreadForIt) {
  const Advice advice = advise({high_set(3.0), with_a_box(60.0), {}, {}});
  EXPECT_TRUE(advice.reached);
  const Stack& stack = advice.stacks.front();
  EXPECT_NEAR(stack.between_mm, 13.0, 1e-9);
  EXPECT_NEAR(stack.total_mm, 18.0, 1e-9);
  EXPECT_NEAR(stack.thread_beyond_nut_mm, 60.0 - 10.0 - 14.0 - 18.0, 1e-9);
  EXPECT_TRUE(
      says(advice, "That is 3.00 mm more than the total so far: 18.0 mm of thread stays beyond the locknut."))
      << all(advice);
  // A stack that keeps the total comes first where there is one.
  EXPECT_EQ(advise({high_set(0.0), with_a_box(60.0), {}, {}}).stacks.front().over_total_mm, 0.0);
}

TEST(Box, IsProposedWithTheThreadItNeeds) {
  const Advice unknown = advise({high_set(3.0), with_a_box(0.0), {}, {}});
  EXPECT_NEAR(unknown.stacks.front().total_mm, 15.0, 0.25 + 1e-9);
  EXPECT_TRUE(says(unknown,
                   "Spacers left in the box would do: 10.00 mm + 3.00 mm (13.00 mm) between steering arm and "
                   "rod end, if the stud has 3.00 mm more thread to spare beyond the nut."))
      << all(unknown);
  const Advice short_stud = advise({high_set(3.0), with_a_box(44.0), {}, {}});  // room for 17 mm, 18 wanted
  EXPECT_TRUE(says(short_stud, "on a stud 1.00 mm longer.")) << all(short_stud);
}

TEST(NewHighMisalignmentSpacers, AreCountedOnTheStud) {
  RodEnd rod_end = with_a_box(0.0);
  rod_end.high_misalignment = HighMisalignmentSpacers{6.0, 12.0, false, "6 mm"};
  EXPECT_TRUE(says(advise({high_set(6.0), rod_end, {}, {}}),
                   "The pair of high-misalignment spacers adds 12.00 mm on the stud: check that its thread "
                   "is long enough."));
  rod_end.stud = {60.0, 10.0, 3.0};
  const Advice known = advise({high_set(6.0), rod_end, {}, {}});
  EXPECT_NEAR(known.stacks.front().total_mm, 15.0 + 12.0, 1e-9);
  EXPECT_TRUE(says(known, "adds 12.00 mm on the stud: 9.0 mm of thread stays beyond the locknut."))
      << all(known);
  rod_end.high_misalignment->on_car = true;
  EXPECT_FALSE(says(advise({high_set(6.0), rod_end, {}, {}}), "adds 12.00 mm"));
}

TEST(BareContact, NamesTheRackHeightThatCuresTheSlopeInstead) {
  for (const Layout layout : {Layout::strut, Layout::double_wishbone}) {
    HardpointSet set = example_set(layout);
    Driving driving;
    driving.aim = HeightAim::zero_slope;
    // Made too low by 3 mm for bare contact below the arm.
    const double best_mm = advise({set, RodEnd{}, driving, {}}).best_height_change_mm.value;
    set.points[set.index_of("link_outer_joint")].position_vehicle_mm.z() += best_mm - 3.0;
    RodEnd rod_end;
    rod_end.stock = {{2.0, 1, ""}};
    const Advice advice = advise({set, rod_end, driving, {}});
    ASSERT_LT(advice.wanted_part.between_mm, -2.9);
    EXPECT_TRUE(says(advice, "Even bare contact leaves it 3.0")) << all(advice);
    EXPECT_FALSE(says(advice, "above the arm")) << "turning it over would go 10 times too far";
    HardpointSet moved = set;
    moved.points[set.index_of("link_inner_joint")].position_vehicle_mm.z() +=
        advice.wanted_part.inner_end_instead_mm;
    EXPECT_NEAR(advise({moved, rod_end, driving, {}}).best_height_change_mm.value, 0.0, 0.2);
    EXPECT_LT(advice.wanted_part.inner_end_instead_mm, -1.0) << "lower";
  }
}

TEST(BareContact, LeavesTurningTheRodEndOverToLargeMisses) {
  RodEnd rod_end;
  rod_end.stock = {{2.0, 1, ""}};
  EXPECT_TRUE(says(advise({high_set(-25.0), rod_end, {}, {}}),
                   "Or mount the rod end above the arm: that raises it by at least the thickness of the arm "
                   "and its ball's width, 30 mm to 40 mm as a rule."))
      << all(advise({high_set(-25.0), rod_end, {}, {}}));
  rod_end.sizes.ball_width_mm = 16.0;
  EXPECT_TRUE(says(advise({high_set(-25.0), rod_end, {}, {}}), "the 16.0 mm of its ball's width"));
}

TEST(BareContact, IsNearEnoughWhenTheMissDoesNotShow) {
  RodEnd rod_end;
  rod_end.stock = {{2.0, 1, ""}};
  // 0.8 mm over 40 mm of travel: 0.04 degrees.
  const Advice little = advise({high_set(-0.8), rod_end, {}, {}});
  EXPECT_TRUE(!little.worth_changing || says(little, "near enough")) << all(little);
  EXPECT_FALSE(says(little, "Even bare contact")) << all(little);
  const Advice vague = advise({with_sigma(high_set(-0.9), 0.4), rod_end, {}, {}});
  ASSERT_GT(2.0 * vague.best_height_change_mm.sigma, 0.9);
  EXPECT_TRUE(says(vague, "That is near enough: the height is known to ±")) << all(vague);
  const Advice coarse = advise({with_sigma(high_set(-3.0), 1.0), rod_end, {}, {}});
  ASSERT_GT(2.0 * coarse.best_height_change_mm.sigma, 3.0);
  EXPECT_TRUE(says(coarse, "Even bare contact")) << "badly known is not near: " << all(coarse);
  EXPECT_TRUE(says(advise({with_sigma(high_set(-3.0), 0.2), rod_end, {}, {}}), "Even bare contact"));
}

RodEndSizes series_k_12() {  // ISO 12240-4, series K, bore 12, from memory
  return {16.0, 22.225, 12.0, 12.0, 0.0, 0.0};
}

TEST(TiltTakenForGranted, IsSaidWhenStudOrSpacersAreNotKnown) {
  RodEnd rod_end;
  rod_end.sizes = series_k_12();
  const Advice bare = advise({high_set(4.0), rod_end, {}, {}});
  EXPECT_TRUE(says(bare,
                   "The rod end's tilt is worked out with its stud upright and with spacers no wider at "
                   "the ball than the ball's face: "))
      << all(bare);
  EXPECT_TRUE(says(bare, "Each degree that the stud leans across the car may take one of them."))
      << all(bare);
  rod_end.sizes.spacer_diameter_mm = 15.0;
  EXPECT_FALSE(says(advise({high_set(4.0), rod_end, {}, {}}), "Wider spacers"));
  rod_end.stud_axis_vehicle = Eigen::Vector3d(0.0, std::sin(0.02), std::cos(0.02));
  EXPECT_FALSE(says(advise({high_set(4.0), rod_end, {}, {}}), "is worked out with"));
  EXPECT_FALSE(says(advise({high_set(4.0), RodEnd{}, {}, {}}), "is worked out with")) << "nothing is checked";
}

TEST(TiltTakenForGranted, IsWrongByADegreeForEachDegreeOfLeanAcrossTheCar) {
  HardpointSet set = high_set(0.0);
  const Tilt upright = advise({set, RodEnd{}, {}, {}}).tilt;
  for (const double lean_deg : {-5.0, 5.0}) {
    RodEnd rod_end;
    const double lean = rad_from_deg(lean_deg);
    rod_end.stud_axis_vehicle = Eigen::Vector3d(0.0, std::sin(lean), std::cos(lean));
    EXPECT_NEAR(deg_from_rad(advise({set, rod_end, {}, {}}).tilt.largest_now_rad - upright.largest_now_rad),
                5.0, 0.1);
  }
}

TEST(SteeringLock, BeyondWhatTheLinkReachesIsTakenAsFarAsItGoes) {
  const Corner corner = make_corner(high_set(0.0));
  double farthest_deg = 0.0;
  for (double deg = 0.0; deg < 90.0; deg += 0.25)
    if (rack_at_toe(corner, corner.wheel.toe_rad - rad_from_deg(deg)))
      farthest_deg = deg;
    else
      break;
  double other_deg = 0.0;
  for (double deg = 0.0; deg < 90.0; deg += 0.25)
    if (rack_at_toe(corner, corner.wheel.toe_rad + rad_from_deg(deg)))
      other_deg = deg;
    else
      break;
  ASSERT_LT(std::min(farthest_deg, other_deg), 85.0);
  RodEnd rod_end;
  rod_end.steering_lock_rad = rad_from_deg(89.0);
  // A lean along the car makes steering the largest tilt.
  rod_end.stud_axis_vehicle = Eigen::Vector3d(std::sin(0.2), 0.0, std::cos(0.2));
  const Tilt tilt = advise({high_set(0.0), rod_end, {"", {10.0, 10.0}, {}}, {}}).tilt;
  const double steered_deg = std::abs(deg_from_rad(tilt.largest_now_steer_rad));
  EXPECT_GT(steered_deg, std::min(farthest_deg, other_deg) - 0.5);
  EXPECT_LT(steered_deg, std::max(farthest_deg, other_deg) + 0.5);
}

TEST(LevelStud, LeavesAnglesAndCurveAndSaysThatSpacersCannotHelp) {
  RodEnd rod_end;
  rod_end.stud_axis_vehicle = Eigen::Vector3d(1.0, 0.0, 0.1).normalized();
  rod_end.stock = {{2.0, 2, ""}};
  const Advice level = advise({strut_set(), rod_end, {}, {}});
  const Advice upright = advise({strut_set(), RodEnd{}, {}, {}});
  EXPECT_FALSE(level.found);
  EXPECT_TRUE(level.sentences.at(0).find("the rod end's stud lies level") != std::string::npos) << all(level);
  EXPECT_EQ(level.mismatch_rad.value, upright.mismatch_rad.value);
  EXPECT_EQ(level.now.toe_change_rad, upright.now.toe_change_rad);
  EXPECT_TRUE(level.stacks.empty());
}

// Each of ten inch thicknesses four times: 5^10 ways to the sum between alone.
TEST(ManySpacers, AreSearchedInAFractionOfASecond) {
  RodEnd rod_end;
  for (const double inch : {0.032, 0.040, 0.050, 0.063, 0.080, 0.100, 0.125, 0.160, 0.200, 0.250})
    rod_end.stock.push_back({25.4 * inch, 4, ""});
  rod_end.between_now = {{25.4 * 0.250, 2, ""}};
  rod_end.stack_total_mm = 63.5;
  double least_s = 1e9;
  for (int i = 0; i < 3; ++i) {
    const std::clock_t start = std::clock();  // processor time: others may use the machine
    const std::vector<Stack> stacks = nearest_stacks(rod_end, -7.77, 5, 0.1);
    least_s = std::min(least_s, static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC);
    ASSERT_EQ(stacks.size(), 5U);
    // 20.47 mm are wanted between; all sums are whole thousandths of an inch, and 0.806 in are the nearest.
    EXPECT_NEAR(std::abs(stacks.front().short_of_best_mm), 25.4 * 0.806 - 20.47, 1e-6);
    for (const Stack& stack : stacks) {
      EXPECT_NEAR(stack.total_mm, 63.5, total_tolerance_mm + 0.01);
      EXPECT_NEAR(stack.height_change_mm, 12.7 - stack.between_mm, 1e-9);
      for (const Spacer& have : rod_end.stock) {
        int used = 0;
        for (const auto* side : {&stack.between, &stack.other_side, &stack.left_over})
          for (const Spacer& spacer : *side)
            if (std::abs(spacer.thickness_mm - have.thickness_mm) < 1e-9) used += spacer.count;
        EXPECT_EQ(used, 4) << have.thickness_mm;
      }
    }
  }
  std::printf("stack search over 40 spacers of 10 kinds: %.0f ms (bar 300 ms)\n", 1000.0 * least_s);
  EXPECT_LT(least_s, 0.3 * time_factor);
}

}  // namespace
}  // namespace pivotfix
