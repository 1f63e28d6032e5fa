// SPDX-License-Identifier: Apache-2.0
// Which stack is ordered where the largest toe change grows unlike on both sides of the best height. Oracle:
// that change by brute force, of a made-up corner whose link is 20 mm too short. All corners are invented.
#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "advice/brute_force.h"
#include "advice/made_up_sets.h"
#include "advice/stack.h"
#include "advice/wording.h"
#include "advice/words_of_advice.h"

namespace pivotfix {
namespace {

// Above the best height the weighted peak grows by 0.031 degrees for each millimetre, below it by 0.165.
HardpointSet short_link_set() {
  Parallelogram corner;
  corner.link_across_mm = 330.0;
  return corner.set();
}

const Driving far_droop = driving_of(25.0, 75.0, HeightAim::smallest_peak, some_weights);

double best_mm() {
  return best_height(make_corner(short_link_set()), far_droop).height_mm;
}

// Two spacers in the box, each of which would put the rod end at so much from the best height; 10 mm are on
// the stud.
RodEnd with_stacks_at(double one_off_mm, double other_off_mm) {
  RodEnd rod_end;
  rod_end.between_now = {{10.0, 1, "now"}};
  rod_end.stock = {{10.0 - best_mm() - one_off_mm, 1, "one"}, {10.0 - best_mm() - other_off_mm, 1, "other"}};
  return rod_end;
}

Advice advice_with(const RodEnd& rod_end, HardpointSet set = short_link_set()) {
  return advise({std::move(set), rod_end, far_droop, {}});
}

TEST(StackOrder, PutsTheStackWithTheSmallestPeakBeforeTheNearest) {
  const RodEnd rod_end = with_stacks_at(-0.4, 0.45);
  ASSERT_LT(nearest_stacks(rod_end, best_mm(), 1).front().short_of_best_mm, 0.0);
  const Advice advice = advice_with(rod_end);
  ASSERT_GE(advice.stacks.size(), 2U);
  EXPECT_NEAR(advice.stacks[0].short_of_best_mm, 0.45, 2e-3);
  EXPECT_NEAR(advice.stacks[1].short_of_best_mm, -0.4, 2e-3);
  const Corner corner = make_corner(short_link_set());
  EXPECT_LT(peak(corner, advice.stacks[0].height_change_mm, far_droop),
            peak(corner, advice.stacks[1].height_change_mm, far_droop));
  EXPECT_EQ(advice.with_stack.rod_end_height_mm, advice.stacks[0].height_change_mm);
  Driving least_squares = far_droop;
  least_squares.aim = HeightAim::least_squares;
  const Advice other_aim = advise({short_link_set(), rod_end, least_squares, {}});
  EXPECT_LE(std::abs(other_aim.stacks[0].short_of_best_mm), std::abs(other_aim.stacks[1].short_of_best_mm));
}

TEST(StackOrder, DoesNotCallAHeightOutOfReachThatANearerStackReaches) {
  const Advice advice = advice_with(with_stacks_at(-0.45, 0.8));
  EXPECT_NEAR(advice.stacks[0].short_of_best_mm, 0.8, 2e-3);
  EXPECT_TRUE(advice.reached);
  EXPECT_FALSE(has(advice.sentences, "No stack of these spacers reaches"));
}

TEST(StackOrder, DoesNotCallTheFlattestStackTheNearest) {
  const Advice advice = advice_with(with_stacks_at(-0.6, 0.9));
  EXPECT_NEAR(advice.stacks[0].short_of_best_mm, 0.9, 2e-3);
  EXPECT_FALSE(advice.reached);
  EXPECT_TRUE(has(advice.sentences, "this one is the flattest and leaves the rod end 0.9 mm too high"));
  EXPECT_TRUE(has(advice.warnings, "with the flattest one the rod end sits 0.9 mm too high"));
}

TEST(StackOrder, NamesTheFlattestAsTheFlattestWhereNoChangeIsWorthMaking) {
  Advice advice = advice_with(with_stacks_at(-0.6, 0.9));
  advice.worth_changing = false;
  const Corner corner = make_corner(short_link_set());
  const std::vector<std::string> sentences = sentences_of(advice, corner, best_height(corner, far_droop));
  EXPECT_TRUE(has(sentences, "Flattest over the travel would be ")) << all(sentences);
  EXPECT_FALSE(has(sentences, "Nearest to the best height")) << all(sentences);
}

// Of corners that differ from this one as its uncertainty says, the share for which the first stack has the
// smaller peak.
TEST(StackOrder, ProbabilityOfTheFirstIsThatOfManyTries) {
  constexpr double sigma_mm = 0.04;
  const Advice advice = advice_with(with_stacks_at(-0.2, 0.25), with_sigma(short_link_set(), sigma_mm));
  ASSERT_NEAR(advice.stacks[0].short_of_best_mm, 0.25, 2e-3);
  std::mt19937 random(6);
  std::normal_distribution<double> normal(0.0, sigma_mm);
  int first = 0;
  constexpr int tries = 600;  // scatters by 2 %
  for (int i = 0; i < tries; ++i) {
    Corner moved = make_corner(short_link_set());
    for (Hardpoint& point : moved.points)
      for (double& coordinate : point.position_vehicle_mm) coordinate += normal(random);
    first += peak(moved, advice.stacks[0].height_change_mm, far_droop) <
                     peak(moved, advice.stacks[1].height_change_mm, far_droop)
                 ? 1
                 : 0;
  }
  EXPECT_NEAR(static_cast<double>(first) / tries, advice.first_is_better, 0.04);
}

}  // namespace
}  // namespace pivotfix
