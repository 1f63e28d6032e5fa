// SPDX-License-Identifier: Apache-2.0
// What to do when the spacers do not reach. All corners are invented.
#include <gtest/gtest.h>

#include <cmath>

#include "advice/made_up_sets.h"
#include "advice/stack.h"
#include "advice/words_of_advice.h"
#include "base/units.h"

namespace pivotfix {
namespace {

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

// Room for 13 mm, 15 mm are on the stud.
TEST(Box, MayTakeBackWhatTheThreadIsTooShortFor) {
  const Advice advice = advise({high_set(3.0), with_a_box(40.0), {}, {}});
  ASSERT_FALSE(advice.stacks.empty()) << all(advice);
  EXPECT_TRUE(advice.reached);
  const Stack& stack = advice.stacks.front();
  EXPECT_NEAR(stack.between_mm, 13.0, 1e-9);
  EXPECT_NEAR(stack.total_mm, 13.0, 1e-9);
  EXPECT_EQ(with_plain_spaces(words_of(stack.left_over)), "5.00 mm");
  EXPECT_TRUE(says(advice,
                   "That is 2.00 mm less than the total so far, for which the thread is too short: 3.0 mm of "
                   "thread stays beyond the locknut."))
      << all(advice);
  EXPECT_FALSE(says(advice, "on a stud")) << all(advice);
  // Of stacks of one height the one as near to the total so far as the thread allows: 10 and 3 mm.
  EXPECT_NEAR(advise({high_set(0.0), with_a_box(40.0), {}, {}}).stacks.front().total_mm, 13.0, 1e-9);
}

TEST(Box, IsNotTakenBackFromATotalThatTheMakerWants) {
  RodEnd rod_end = with_a_box(40.0);
  rod_end.stack_total_mm = 15.0;
  const Advice advice = advise({high_set(3.0), rod_end, {}, {}});
  EXPECT_TRUE(advice.stacks.empty());
  EXPECT_TRUE(
      says(advice,
           "on a stud 5.00 mm longer. With less on the stud than the 15.00 mm that the maker wants it "
           "would fit: 10.00 mm + 3.00 mm (13.00 mm) between steering arm and rod end, 13.00 mm in "
           "all."))
      << all(advice);
  rod_end.stud.length_mm = 60.0;
  EXPECT_FALSE(says(advise({high_set(3.0), rod_end, {}, {}}), "With less on the stud"));
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

// 2 mm are more than the millimetre up to which the height's doubt counts. A steering arm of 400 mm makes
// them 0.03 degrees: that is the reason, though the height is known to 1.5 mm only.
TEST(BareContact, IsNearEnoughForTheReasonThatIsSaid) {
  RodEnd rod_end;
  rod_end.stock = {{2.0, 1, ""}};
  Parallelogram corner;
  corner.outer_high_mm = -2.0;
  corner.steering_arm_mm = 400.0;
  ASSERT_LT(std::abs(corner.toe_rad(40.0) - corner.toe_rad(0.0)), rad_from_deg(0.05));
  const Advice advice = advise({with_sigma(corner.set(), 0.9), rod_end, {}, {}});
  ASSERT_LT(advice.best_height_change_mm.sigma, 2.0);
  ASSERT_GT(2.0 * advice.best_height_change_mm.sigma, 2.0);
  EXPECT_EQ(advice.near_enough, NearEnough::hardly_shows);
  EXPECT_TRUE(
      says(advice, "That is near enough: it leaves 0.03 deg of toe change, the best height 0.00 deg."))
      << all(advice);
  EXPECT_FALSE(says(advice, "the height is known to")) << all(advice);
}

// The link is 30 mm too short. 3 mm above the height without slope the largest toe change over mostly droop
// is smaller than there, but that is not what was asked for. Oracle: slopes of the closed form.
TEST(Reach, OfNoSlopeIsJudgedByTheSlopeThatIsLeft) {
  const auto short_link = [](double high_mm) {
    Parallelogram corner;
    corner.link_across_mm = 320.0;
    corner.outer_high_mm = high_mm;
    return corner;
  };
  const auto slope_deg_inch = [&](double high_mm) {
    const Parallelogram corner = short_link(high_mm);
    return deg_from_rad(std::abs(corner.toe_rad(0.01) - corner.toe_rad(-0.01))) / 0.02 * mm_per_inch;
  };
  Driving driving{"", {25.0, 60.0}, {}};
  driving.aim = HeightAim::zero_slope;
  RodEnd rod_end;
  rod_end.between_now = {{3.0, 1, ""}};
  rod_end.stock = {{3.0, 2, ""}};
  ASSERT_GT(slope_deg_inch(3.0), 0.09);
  const Advice far = advise({short_link(6.0).set(), rod_end, driving, {}});
  ASSERT_LT(far.with_stack.largest_change_rad, far.best.largest_change_rad);
  EXPECT_EQ(far.near_enough, NearEnough::no);
  EXPECT_FALSE(says(far, "near enough")) << all(far);
  EXPECT_TRUE(says(far, "too thin: a spacer that much thicker")) << all(far);
  ASSERT_LT(slope_deg_inch(1.0), 0.05);
  const Advice near = advise({short_link(4.0).set(), rod_end, driving, {}});
  EXPECT_TRUE(says(near, "That is near enough: it leaves 0.03 deg of toe change per inch at ride height."))
      << all(near);
}

TEST(BareContact, IsNotSoldAsANarrowSpacer) {
  RodEnd rod_end;
  rod_end.between_now = {{4.0, 1, ""}};
  rod_end.sizes.allowed_tilt_rad = rad_from_deg(30.0);
  const char* words = "With no spacer between, the eye of the rod end faces the steering arm itself";
  EXPECT_TRUE(has(advise({high_set(-4.0), rod_end, {}, {}}).warnings, words));
  EXPECT_FALSE(has(advise({high_set(4.0), rod_end, {}, {}}).warnings, words));
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

}  // namespace
}  // namespace pivotfix
