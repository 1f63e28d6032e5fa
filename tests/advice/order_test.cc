// SPDX-License-Identifier: Apache-2.0
// Whether the stack that would be ordered is worth ordering. The oracle is the closed form of a parallelogram
// corner: each millimetre that its rod end is off makes 0.047 degrees over 40 mm of travel.
#include <gtest/gtest.h>

#include <cmath>

#include "advice/explore.h"
#include "advice/made_up_sets.h"
#include "advice/words_of_advice.h"
#include "base/units.h"

namespace pivotfix {
namespace {

// Of toe between ride height and so much travel.
double change_deg(double high_mm, double travel_mm) {
  Parallelogram corner;
  corner.outer_high_mm = high_mm;
  return std::abs(deg_from_rad(corner.toe_rad(travel_mm) - corner.toe_rad(0.0)));
}

RodEnd three_mm_between(std::vector<Spacer> stock) {
  RodEnd rod_end;
  rod_end.between_now = {{3.0, 1, ""}};
  rod_end.stock = std::move(stock);
  return rod_end;
}

// 3.06 mm would be nearer by 0.06 mm.
TEST(Order, IsNotGivenForAHairThatLeavesTheHeightAsFarAwayAsItIs) {
  ASSERT_LT(change_deg(1.5, 40.0) - change_deg(1.44, 40.0), 0.02);
  RodEnd rod_end = three_mm_between({{3.0, 1, ""}, {3.06, 1, ""}});
  rod_end.other_side_now = std::vector<Spacer>{{3.06, 1, ""}};
  const AdviceQuestion question{high_set(1.5), rod_end, {}, {}};
  const Advice advice = advise(question);
  EXPECT_FALSE(says(advice, "Put ")) << all(advice);
  EXPECT_TRUE(says(advice, "Until then leave 3.00 mm between steering arm and rod end.")) << all(advice);
  EXPECT_TRUE(says(advice,
                   "the rod end stays 1.5 mm too high, and the nearest one would bring nothing that shows in "
                   "toe."))
      << all(advice);
  EXPECT_TRUE(says(advice,
                   "of the best height: as it stands the rod end sits 1.5 mm too high. A pair of spacers "
                   "would: 4.50 mm"))
      << all(advice);
  EXPECT_FALSE(says(advice, "Then set toe")) << all(advice);
  EXPECT_EQ(advice.stacks.front().height_change_mm, 0.0);
  EXPECT_EQ(advice.with_stack.toe_change_rad, advice.now.toe_change_rad);
  const Exploration exploration = explore(question, advice);
  EXPECT_EQ(exploration.choices.at(exploration.suggested).stack.height_change_mm, 0.0);
}

// The best height is worth 0.03 degrees, the spacers at hand 0.014.
TEST(Order, IsNotGivenForAStackThatDoesNotShowWhereTheBestHeightWould) {
  ASSERT_GT(change_deg(0.7, 40.0), 0.02);
  ASSERT_LT(change_deg(0.7, 40.0) - change_deg(0.4, 40.0), 0.02);
  const Advice advice = advise({high_set(0.7), three_mm_between({{3.0, 1, ""}, {3.3, 1, ""}}), {}, {}});
  EXPECT_FALSE(advice.worth_changing);
  EXPECT_TRUE(says(advice, "Leave the spacers as they are: 3.00 mm")) << all(advice);
  EXPECT_TRUE(says(advice,
                   "The rod end sits 0.7 mm too high, and no other stack of these spacers would bring "
                   "anything that shows in toe: no need to change."))
      << all(advice);
  EXPECT_TRUE(says(advice, "Nearest to the best height would be 3.30 mm")) << all(advice);
}

// What the first inch does counts only where the travel goes so far.
TEST(Order, IsNotGivenForWhatLiesBeyondTheTravel) {
  ASSERT_GT(change_deg(-20.0, 1.0), 0.02);
  ASSERT_LT(change_deg(-20.0, 1.0) - change_deg(-17.0, 1.0), 0.02);
  ASSERT_GT(change_deg(-20.0, 25.4) - change_deg(-17.0, 25.4), 0.05);
  const RodEnd rod_end = three_mm_between({{3.0, 1, ""}});
  EXPECT_TRUE(says(advise({high_set(-20.0), rod_end, {"", {1.0, 0.0}, {}}, {}}),
                   "Leave the spacers as they are: 3.00 mm"));
  EXPECT_TRUE(says(advise({high_set(-20.0), rod_end, {"", {25.4, 0.0}, {}}, {}}), "Take all spacers out"));
}

// 24 mm are between now and 1.5 mm more would be right; only 30 mm make the total.
TEST(Order, ThatIsWorseThanNowSaysSoAndWhyItIsGiven) {
  RodEnd rod_end;
  rod_end.between_now = {{24.0, 1, ""}};
  rod_end.other_side_now = std::vector<Spacer>{};
  rod_end.stock = {{24.0, 1, ""}, {30.0, 1, ""}};
  rod_end.stack_total_mm = 30.0;
  ASSERT_GT(change_deg(-4.5, 40.0), change_deg(1.5, 40.0));
  const Advice total = advise({high_set(1.5), rod_end, {}, {}});
  EXPECT_TRUE(says(total,
                   "It is worse than what is on the car now, over the travel and at ride height, and ordered "
                   "all the same because the spacers on the stud must add up to what the maker wants."))
      << all(total);
  EXPECT_FALSE(says(total, "Spacers give one or the other")) << all(total);
  EXPECT_FALSE(says(advise({high_set(6.0), rod_end, {}, {}}), "It is worse"));

  RodEnd new_necks = three_mm_between({{3.0, 1, ""}});
  new_necks.high_misalignment = HighMisalignmentSpacers{8.0, 16.0, false, ""};
  const Advice necks = advise({high_set(-3.0), new_necks, {}, {}});
  EXPECT_TRUE(says(necks, "because one of the pair of high-misalignment spacers comes between as well."))
      << all(necks);
  EXPECT_FALSE(says(necks, "Spacers give one or the other")) << all(necks);
}

// Room for 9 mm: of what is on the stud only the 5 mm may stay.
TEST(Order, ThatIsWorseThanNowNamesAThreadThatIsTooShort) {
  RodEnd rod_end;
  rod_end.between_now = {{10.0, 1, ""}};
  rod_end.other_side_now = std::vector<Spacer>{{5.0, 1, ""}};
  rod_end.sizes.ball_width_mm = 14.0;
  rod_end.stud = {36.0, 10.0, 3.0};
  const Advice advice = advise({high_set(1.5), rod_end, {}, {}});
  EXPECT_TRUE(says(advice, "because what is on the stud now leaves too little thread beyond the locknut."))
      << all(advice);
}

}  // namespace
}  // namespace pivotfix
