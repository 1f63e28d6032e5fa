// SPDX-License-Identifier: Apache-2.0
// One number changed, and facts of the trade that must come out. All corners are invented.
#include "advice/what_if.h"

#include <gtest/gtest.h>

#include <chrono>
#include <cmath>
#include <cstdio>

#include "advice/height.h"
#include "advice/made_up_sets.h"
#include "base/problem.h"
#include "base/time_factor.h"
#include "corner/example_corners.h"

namespace pivotfix {
namespace {

RodEnd kit() {
  RodEnd rod_end;
  rod_end.between_now = {{5.08, 1, "0.200 in"}, {2.54, 1, "0.100 in"}};
  rod_end.stock = {
      {5.08, 2, "0.200 in"}, {2.54, 2, "0.100 in"}, {1.524, 4, "0.060 in"}, {3.048, 2, "0.120 in"}};
  return rod_end;
}

AdviceQuestion question_of(const HardpointSet& set) {
  return {set, kit(), {}, {}};
}

// A corner with little bump steer to start from: the example at its best height.
HardpointSet cured(Layout layout) {
  HardpointSet set = example_set(layout);
  const double height = best_height(make_corner(set), Travel{}).height_mm;
  set.points[set.index_of("link_outer_joint")].position_vehicle_mm.z() += height;
  return set;
}

Advice advice_after(const HardpointSet& set, const std::string& changes) {
  const WhatIf result = what_if(question_of(set), changes_from(changes, LengthUnit::millimetre));
  EXPECT_EQ(result.refusal, "");
  return result.advice;
}

TEST(Changes, AreReadInAnyUnitAndNumber) {
  const std::vector<Change> changes =
      changes_from("ride-height=-30 mm, lower-ball-joint = 0.5 in,rack=2", LengthUnit::inch);
  ASSERT_EQ(changes.size(), 3U);
  EXPECT_EQ(changes[0].name, "ride-height");
  EXPECT_EQ(changes[0].by_mm, -30.0);
  EXPECT_NEAR(changes[1].by_mm, 12.7, 1e-12);
  EXPECT_NEAR(changes[2].by_mm, 50.8, 1e-12);
  const SweepAxis axis = sweep_axis_from("rack=-0.5..0.25in", LengthUnit::millimetre);
  EXPECT_NEAR(axis.from_mm, -12.7, 1e-12);
  EXPECT_NEAR(axis.to_mm, 6.35, 1e-12);
}

TEST(Changes, RefuseWhatTheyDoNotKnow) {
  const auto complaint = [](const std::string& text) {
    try {
      changed(strut_set(), changes_from(text, LengthUnit::millimetre));
    } catch (const Problem& problem) {
      EXPECT_EQ(problem.kind(), ProblemKind::usage);
      return std::string(problem.what_happened());
    }
    return std::string();
  };
  EXPECT_EQ(complaint("ride-height"), "\"ride-height\" is no change.");
  EXPECT_EQ(complaint("wings=3"), "\"wings\" is nothing that can be changed on this corner.");
  EXPECT_EQ(complaint("upper-arm-pivots=3"),
            "\"upper-arm-pivots\" is nothing that can be changed on this corner.");
  EXPECT_EQ(complaint("link-inner-joint.w=3"),
            "\"link-inner-joint.w\" is nothing that can be changed on this corner.");
  EXPECT_EQ(complaint("rack=2 km").substr(0, 6), "\"2 km\"");
  EXPECT_EQ(complaint("rack=900"), "A change of 900 mm is too much.");
  EXPECT_THROW(sweep_axis_from("rack=3..1", LengthUnit::millimetre), Problem);
}

TEST(Changes, NameOnlyWhatThisLayoutHas) {
  const auto remedy = [](const HardpointSet& set) {
    try {
      changed(set, changes_from("wings=3", LengthUnit::millimetre));
    } catch (const Problem& problem) {
      return std::string(problem.remedy());
    }
    return std::string();
  };
  EXPECT_TRUE(remedy(double_wishbone_set())
                  .starts_with("Known are ride-height, lower-ball-joint, lower-arm-pivots, upper-arm-pivots, "
                               "rack, link-length, rod-end, and every"));
  EXPECT_TRUE(remedy(five_link_set()).starts_with("Known are ride-height, rack, link-length, rod-end, and "));
}

TEST(Changes, MoveWhatTheySay) {
  const HardpointSet set = double_wishbone_set();
  const auto moved = [&](const std::string& text, const char* point) {
    return Eigen::Vector3d(
        changed(set, changes_from(text, LengthUnit::millimetre)).position_vehicle_mm(point) -
        set.position_vehicle_mm(point));
  };
  EXPECT_LT((moved("rack=3", "link_inner_joint") - Eigen::Vector3d(0, 0, 3)).norm(), 1e-12);
  EXPECT_LT((moved("link-outer-joint.x=-4", "link_outer_joint") - Eigen::Vector3d(-4, 0, 0)).norm(), 1e-12);
  EXPECT_LT((moved("upper-arm-pivots=5", "upper_arm_rear_pivot") - Eigen::Vector3d(0, 0, 5)).norm(), 1e-12);
  const HardpointSet longer = changed(set, {{"link-length", 7.0}});
  const auto link_mm = [](const HardpointSet& of) {
    return (of.position_vehicle_mm("link_outer_joint") - of.position_vehicle_mm("link_inner_joint")).norm();
  };
  EXPECT_NEAR(link_mm(longer), link_mm(set) + 7.0, 1e-9);
  const HardpointSet extended = changed(set, {{"lower-ball-joint", 15.0}});
  EXPECT_NEAR(moved("lower-ball-joint=15", "lower_ball_joint").z(), -15.0, 1e-9);
  for (const char* pivot : {"lower_arm_front_pivot", "lower_arm_rear_pivot"})
    EXPECT_NEAR(
        (extended.position_vehicle_mm("lower_ball_joint") - extended.position_vehicle_mm(pivot)).norm(),
        (set.position_vehicle_mm("lower_ball_joint") - set.position_vehicle_mm(pivot)).norm(), 1e-9)
        << "the arm keeps its length";
}

TEST(WhatIf, IsTheMirrorImageOnTheRight) {
  for (const char* change : {"ride-height=-25", "lower-ball-joint=10", "rack=2", "link-length=5"}) {
    HardpointSet left = strut_set();
    left.covariance_mm2 = 0.04 * Eigen::MatrixXd::Identity(24, 24);
    const Advice a = advice_after(left, change);
    const Advice b = advice_after(mirrored(left), change);
    EXPECT_NEAR(a.best_height_change_mm.value, b.best_height_change_mm.value, 1e-9) << change;
    EXPECT_NEAR(a.best_height_change_mm.sigma, b.best_height_change_mm.sigma, 1e-9) << change;
  }
}

TEST(WhatIf, ChangesOnlyWhatWasAsked) {
  const Advice nothing = advice_after(strut_set(), "rack=0");
  const Advice before = advise(question_of(strut_set()));
  EXPECT_EQ(nothing.best_height_change_mm.value, before.best_height_change_mm.value);
  EXPECT_NEAR(advice_after(strut_set(), "rod-end=2.5").best_height_change_mm.value,
              before.best_height_change_mm.value - 2.5, 1e-6);
  EXPECT_EQ(what_if(question_of(strut_set()), {{"ride-height", -30.0}}).words, "ride height -30.0 mm");
}

// Ten millimetres between, best three more: three lower by whatever means are no reason to put ten.
TEST(WhatIf, TellsNoStackForARodEndThatSpacersMustHaveMoved) {
  AdviceQuestion question = question_of(strut_set());
  question.rod_end.between_now = {{10.0, 1, ""}};
  question.rod_end.stock = {{3.0, 1, ""}, {10.0, 1, ""}};
  EXPECT_FALSE(what_if(question, {{"rack", 1.0}}).advice.stacks.empty());
  EXPECT_TRUE(what_if(question, {{"rod-end", -3.0}}).advice.stacks.empty());
}

TEST(WhatIf, SaysWhereTheArmsLock) {
  Parallelogram small;
  small.arm_mm = 90.0;
  small.link_across_mm = 90.0;
  const WhatIf result = what_if(question_of(small.set()), {{"ride-height", -150.0}});
  EXPECT_NE(result.refusal.find("its arms lock"), std::string::npos);
}

TEST(Sweep, HoldsTheAnswersOfItsPoints) {
  const AdviceQuestion question = question_of(strut_set());
  const Sweep grid = sweep(question, {"ride-height", -30.0, 0.0}, {"rack", -4.0, 4.0}, 4);
  ASSERT_EQ(grid.best_height_change_mm.rows(), 5);
  const Advice corner = advice_after(strut_set(), "ride-height=-30, rack=4");
  EXPECT_NEAR(grid.best_height_change_mm(4, 0), corner.best_height_change_mm.value, 1e-6);
  EXPECT_NEAR(grid.largest_change_rad(4, 0), corner.now.largest_change_rad, 1e-12);
  EXPECT_NEAR(grid.best_height_change_mm(2, 4), advise(question).best_height_change_mm.value, 1e-6);
  EXPECT_THROW(sweep(question, {"rack", 0, 1}, {"rack", 0, 1}, 2), Problem);
}

// Facts of the trade, all common practice.

TEST(TradeFacts, ParallelAndInStepMeansLeastToeChange) {
  // With arms of one length and level, the link parallel to them and as long is the best of all heights.
  const Corner corner = make_corner(Parallelogram{}.set());
  for (const double height : {-6.0, -2.0, 2.0, 6.0})
    EXPECT_GT(toe_curve("", corner, height, {40, 40}).largest_change_rad,
              toe_curve("", corner, 0.0, {40, 40}).largest_change_rad);
  EXPECT_NEAR(front_view(corner).mismatch_rad, 0.0, 1e-12);
}

TEST(TradeFacts, LoweringOpensTheMismatch) {
  for (const Layout layout : {Layout::strut, Layout::double_wishbone}) {
    const HardpointSet set = cured(layout);
    const double before = std::abs(advise(question_of(set)).effective_mismatch_rad.value);
    double last = before;
    for (const char* lower : {"ride-height=-15", "ride-height=-30", "ride-height=-45"}) {
      const Advice lowered = advice_after(set, lower);
      EXPECT_GT(std::abs(lowered.effective_mismatch_rad.value), last) << name_of(layout) << " " << lower;
      last = std::abs(lowered.effective_mismatch_rad.value);
    }
  }
}

TEST(TradeFacts, AnExtendedLowerBallJointPutsFewerSpacersUnderTheRodEndAndMoreOverIt) {
  // The rod end hangs below the arm: over it is between arm and rod end, under it is the other side.
  for (const Layout layout : {Layout::strut, Layout::double_wishbone}) {
    const HardpointSet set = cured(layout);
    const Advice before = advise(question_of(set));
    const Advice after = advice_after(set, "lower-ball-joint=5");
    ASSERT_FALSE(after.stacks.empty());
    const auto under_mm = [](const Stack& stack) { return stack.total_mm - stack.between_mm; };
    EXPECT_GT(after.stacks[0].between_mm, before.stacks[0].between_mm + 1.0) << name_of(layout);
    EXPECT_LT(under_mm(after.stacks[0]), under_mm(before.stacks[0]) - 1.0) << name_of(layout);
    EXPECT_NEAR(after.stacks[0].total_mm, before.stacks[0].total_mm, 1e-9);
    EXPECT_LT(after.best_height_change_mm.value, -2.0) << "by nearly as much as the ball joint";
    EXPECT_GT(after.best_height_change_mm.value, -7.5);
  }
}

TEST(TradeFacts, MovingSpacersAcrossChangesTheOneInchReadingMonotonically) {
  for (unsigned seed = 0; seed < 20; ++seed) {
    const Layout layout = seed % 2 == 0 ? Layout::strut : Layout::double_wishbone;
    const Corner corner = make_corner(random_plausible_set(layout, seed, 6.0));
    const double best = best_height(corner, Travel{}).height_mm;
    const auto reading = [&](double aside) {
      return toe_curve("", corner, best + aside, {26.0, 0.0}).one_inch_change_rad;
    };
    const double sign = reading(-8.0) < reading(8.0) ? 1.0 : -1.0;
    for (double aside = -8.0; aside < 8.0; aside += 0.5)
      EXPECT_GT(sign * (reading(aside + 0.5) - reading(aside)), 1e-5) << "seed " << seed << " at " << aside;
    EXPECT_LT(reading(-8.0) * reading(8.0), 0.0) << "it changes sign on the way";
  }
}

TEST(TradeFacts, SpacersFromSixtyToTwoHundredThousandthsReachEveryHeightToHalfOfTheThinnest) {
  // What kits hold: 0.060 to 0.200 in. Any height within a kit's reach is met to 0.030 in or better.
  RodEnd rod_end;
  for (const double inch : {0.060, 0.060, 0.080, 0.100, 0.120, 0.200})
    rod_end.stock.push_back({25.4 * inch, 1, ""});
  rod_end.between_now = {rod_end.stock[5]};
  HardpointSet set = cured(Layout::strut);
  for (const double lower_mm : {0.0, 0.8, 2.3, 3.7, 5.1}) {
    HardpointSet high = set;
    high.points[high.index_of("link_outer_joint")].position_vehicle_mm.z() += lower_mm;
    const Advice advice = advise({high, rod_end, {}, {}});
    EXPECT_LT(std::abs(advice.stacks.at(0).short_of_best_mm), 0.5 * 1.524);
  }
}

// The bar: all that `steer` computes from a hardpoint file, report aside, in 20 ms. Prints what it takes; the
// check is loose because test machines are busy.
TEST(SteerBench, FromHardpointFileToAdvice) {
  for (const Layout layout : {Layout::strut, Layout::double_wishbone}) {
    HardpointSet set = example_set(layout);
    const Eigen::Index n = static_cast<Eigen::Index>(3 * set.points.size());
    set.covariance_mm2 = 0.04 * Eigen::MatrixXd::Identity(n, n);
    set.rod_end = kit();
    set.driving = Driving{};
    const std::string file = hardpoints_to_json(set);
    double least = 1e9;
    for (int i = 0; i < 5; ++i) {
      const auto start = std::chrono::steady_clock::now();
      const HardpointSet read = hardpoints_from_json(file, "file");
      const Advice advice = advise({read, *read.rod_end, *read.driving, read.readings});
      const std::chrono::duration<double, std::milli> took = std::chrono::steady_clock::now() - start;
      ASSERT_FALSE(advice.sentences.empty());
      least = std::min(least, took.count());
    }
    std::printf("steer from hardpoint file to advice, %s: %.2f ms (bar 20 ms)\n",
                std::string(name_of(layout)).c_str(), least);
    EXPECT_LT(least, 200.0 * time_factor);
  }
}

}  // namespace
}  // namespace pivotfix
