// SPDX-License-Identifier: Apache-2.0
// What the report's sliders can reach, against the advice and the corner solved one by one.
#include "advice/explore.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "corner/example_corners.h"

namespace pivotfix {
namespace {

AdviceQuestion some_question() {
  Parallelogram high;
  high.outer_high_mm = 4.064;
  AdviceQuestion question;
  question.hardpoints = high.set();
  question.rod_end.between_now = {{2.54, 1, "0.100 in"}};
  question.rod_end.stock = {{5.08, 1, "0.200 in"}, {2.54, 1, "0.100 in"}, {1.524, 2, "0.060 in"}};
  question.driving.travel = {40.0, 40.0};
  return question;
}

bool rises(const Exploration& exploration) {
  return std::is_sorted(exploration.choices.begin(), exploration.choices.end(),
                        [](const RodEndChoice& a, const RodEndChoice& b) {
                          return a.stack.height_change_mm < b.stack.height_change_mm;
                        });
}

// 0.200, 0.100 and two of 0.060 in: each alone or not, and none, one or two of the thin ones, make these
// sums.
TEST(Explore, OffersEveryHeightThatTheSpacersAtHandAdd) {
  const AdviceQuestion question = some_question();
  const Exploration exploration = explore(question, advise(question));
  EXPECT_TRUE(exploration.from_stock);
  EXPECT_TRUE(rises(exploration));
  std::vector<double> thou;
  for (auto choice = exploration.choices.rbegin(); choice != exploration.choices.rend(); ++choice)
    thou.push_back(std::round((2.54 - choice->stack.height_change_mm) / 0.0254));
  EXPECT_EQ(thou, (std::vector<double>{0, 60, 100, 120, 160, 200, 220, 260, 300, 320, 360, 420}));
}

TEST(Explore, StartsFromTheAdviceAndKnowsWhatIsOnTheCar) {
  const AdviceQuestion question = some_question();
  const Advice advice = advise(question);
  const Exploration exploration = explore(question, advice);
  const RodEndChoice& suggested = exploration.choices.at(exploration.suggested);
  EXPECT_EQ(suggested.stack.height_change_mm, advice.stacks.front().height_change_mm);
  EXPECT_EQ(suggested.stack.between.size(), advice.stacks.front().between.size());
  EXPECT_EQ(suggested.curve.toe_change_rad, advice.with_stack.toe_change_rad);
  const RodEndChoice& now = exploration.choices.at(exploration.now);
  EXPECT_EQ(now.stack.height_change_mm, 0.0);
  EXPECT_EQ(now.curve.toe_change_rad, advice.now.toe_change_rad);
}

TEST(Explore, GoesInEqualStepsWithoutSpacers) {
  AdviceQuestion question = some_question();
  question.rod_end = RodEnd{};
  const Advice advice = advise(question);
  const Exploration exploration = explore(question, advice);
  EXPECT_FALSE(exploration.from_stock);
  EXPECT_TRUE(rises(exploration));
  EXPECT_NEAR(exploration.choices.at(exploration.suggested).stack.height_change_mm, -4.064, 1e-6);
  EXPECT_EQ(exploration.choices.at(exploration.now).stack.height_change_mm, 0.0);
  EXPECT_LE(exploration.choices.front().stack.height_change_mm, -6.5);
  EXPECT_GE(exploration.choices.back().stack.height_change_mm, 3.0);
}

TEST(Explore, MovesTheWheelOverTheWholeTravel) {
  const AdviceQuestion question = some_question();
  const Exploration exploration = explore(question, advise(question));
  const std::vector<CornerState>& states = exploration.motion.states;
  EXPECT_EQ(states.front().travel_mm, -40.0);
  EXPECT_EQ(states.back().travel_mm, 40.0);
  const Corner corner = make_corner(question.hardpoints);
  // Newton from another start: the same but for rounding.
  EXPECT_NEAR(states.at(10).toe_rad, solve_state(corner, states.at(10).travel_mm).toe_rad, 1e-12);
}

}  // namespace
}  // namespace pivotfix
