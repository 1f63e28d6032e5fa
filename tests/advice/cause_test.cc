// SPDX-License-Identifier: Apache-2.0
// Whether words and numbers fit together: why the rod end is off, whether to move it at all, and over which
// travel that holds. The oracle is the closed form of a parallelogram corner.
#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>
#include <string>

#include "advice/advice.h"
#include "advice/explore.h"
#include "advice/made_up_sets.h"
#include "base/length_words.h"
#include "base/units.h"
#include "corner/example_corners.h"

namespace pivotfix {
namespace {

bool has(const std::vector<std::string>& texts, const std::string& part) {
  for (const std::string& text : texts)
    if (with_plain_spaces(text).find(part) != std::string::npos) return true;
  return false;
}

std::string all(const Advice& advice) {
  std::string joined;
  for (const auto* texts : {&advice.sentences, &advice.warnings})
    for (const std::string& text : *texts) joined += with_plain_spaces(text) + "\n";
  return joined;
}

std::string sentence_with(const Advice& advice, const std::string& part) {
  for (const std::string& sentence : advice.sentences)
    if (sentence.find(part) != std::string::npos) return sentence;
  return "";
}

Parallelogram parallelogram(double link_mm, double high_mm, bool rear_steer = true) {
  Parallelogram corner;
  corner.link_across_mm = link_mm;
  corner.outer_high_mm = high_mm;
  corner.rear_steer = rear_steer;
  return corner;
}

double degrees_per_inch(const Parallelogram& corner) {
  return deg_from_rad(corner.toe_rad(0.01) - corner.toe_rad(-0.01)) / 0.02 * mm_per_inch;
}

// A rod end that is too high makes toe-out in bump behind the axle and toe-in ahead of it. Where the link's
// length bends the curve and the travel lies to one side, the best height can contradict the slope.
TEST(Cause, NeverPairsAHeightWithASlopeThatAsksForTheOtherDirection) {
  int paired = 0;
  int bent = 0;
  for (const bool rear : {true, false})
    for (const double link_mm : {280.0, 350.0, 430.0})
      for (const double high_mm : {-4.0, -1.0, 0.5, 3.0})
        for (const char* driving : {"standing-start", "track", "one-inch"}) {
          const Advice advice =
              advise({parallelogram(link_mm, high_mm, rear).set(), RodEnd{}, driving_named(driving), {}});
          const std::string sentence = sentence_with(advice, " sits ");
          if (sentence.empty() || !advice.worth_changing) continue;
          const bool too_high = sentence.find("too high") != std::string::npos;
          if (sentence.find("in bump the wheel toes") == std::string::npos) {
            ++bent;
            EXPECT_NE(sentence.find("bends"), std::string::npos) << sentence;
            continue;
          }
          ++paired;
          const bool out = sentence.find("toes out") != std::string::npos;
          EXPECT_EQ(out, too_high == rear) << sentence;
          EXPECT_EQ(out, degrees_per_inch(parallelogram(link_mm, high_mm, rear)) < 0.0) << sentence;
        }
  EXPECT_GT(paired, 20);
  EXPECT_GT(bent, 10);
}

TEST(Cause, OfABentCurveIsTheLinksLengthAndWhatTheHeightCostsAtRideHeight) {
  // The link is 50 mm too short; mostly droop is asked for.
  const Advice advice =
      advise({parallelogram(300.0, 1.0).set(), RodEnd{}, driving_named("standing-start"), {}});
  const double best_mm = advice.best_height_change_mm.value;
  ASSERT_GT(best_mm, 1.0) << "upwards, though the slope asks for 1 mm downwards";
  const double then = degrees_per_inch(parallelogram(300.0, 1.0 + best_mm));
  char slope[64];
  std::snprintf(slope, sizeof slope, "takes %.2f deg per inch at ride height", std::abs(then));
  EXPECT_TRUE(has(advice.sentences,
                  "too low for the travel asked for: a link 50 mm too short bends the toe "
                  "curve, and the best height " +
                      std::string(slope)))
      << all(advice);
  char warning[160];
  std::snprintf(warning, sizeof warning,
                "At ride height this change makes the toe change larger: %.2f deg per inch instead of %.2f. "
                "For no toe change there the rod end must be 1.0 mm lower than now",
                std::abs(then), std::abs(degrees_per_inch(parallelogram(300.0, 1.0))));
  EXPECT_TRUE(has(advice.warnings, warning)) << all(advice);
}

TEST(Cause, IsNotWarnedOfWhereTheChangeMakesTheSlopeSmaller) {
  const Advice advice = advise({parallelogram(350.0, 4.0).set(), RodEnd{}, {}, {}});
  EXPECT_FALSE(has(advice.warnings, "At ride height")) << all(advice);
  EXPECT_FALSE(has(advice.warnings, "to either side of now")) << all(advice);
}

TEST(NoNeed, ToChangeWhatLiesWithinItsUncertainty) {
  const AdviceQuestion question{with_sigma(parallelogram(350.0, 0.8).set(), 0.7), RodEnd{}, {}, {}};
  const Advice advice = advise(question);
  ASSERT_GT(advice.best_height_change_mm.sigma, 0.8);
  EXPECT_FALSE(advice.worth_changing);
  EXPECT_EQ(advice.sentences.at(0), "Leave the outer end of the steering link where it is.");
  EXPECT_TRUE(has(advice.sentences, "Within its uncertainty the rod end is at its best height (0.8 mm ± "))
      << all(advice);
  EXPECT_TRUE(has(advice.sentences, "would fall from 0.04 to 0.00 deg")) << all(advice);
  EXPECT_FALSE(has(advice.sentences, "Then set toe"));
  const Exploration exploration = explore(question, advice);
  EXPECT_EQ(exploration.suggested, exploration.now);
  EXPECT_TRUE(advise({with_sigma(parallelogram(350.0, 0.8).set(), 0.1), RodEnd{}, {}, {}}).worth_changing);
}

TEST(NoNeed, ToChangeWhatDoesNotShowInToe) {
  // 0.3 mm too high makes 0.014 degrees over 40 mm of travel.
  const Parallelogram corner = parallelogram(350.0, 0.3);
  ASSERT_LT(std::abs(corner.toe_rad(40.0) - corner.toe_rad(0.0)), rad_from_deg(0.02));
  RodEnd rod_end;
  rod_end.between_now = {{3.0, 1, ""}};
  rod_end.stock = {{3.0, 1, ""}, {0.3, 1, ""}};
  const AdviceQuestion question{corner.set(), rod_end, {}, {}};
  const Advice advice = advise(question);
  EXPECT_FALSE(advice.worth_changing);
  EXPECT_EQ(with_plain_spaces(advice.sentences.at(0)),
            "Leave the spacers as they are: 3.00 mm between steering arm and rod end.");
  EXPECT_TRUE(
      has(advice.sentences,
          "The rod end sits 0.3 mm too high, and a change would hardly show in toe: no need to change."))
      << all(advice);
  EXPECT_TRUE(has(advice.sentences,
                  "Nearest to the best height would be 3.00 mm + 0.30 mm (3.30 mm) between steering arm and "
                  "rod end."))
      << all(advice);
  const Exploration exploration = explore(question, advice);
  EXPECT_EQ(exploration.suggested, exploration.now);
  EXPECT_EQ(exploration.choices.at(exploration.suggested).stack.height_change_mm, 0.0);
  for (const DrivingResult& result : advice.drivings)
    EXPECT_EQ(result.largest_chosen_rad, result.largest_now_rad) << result.driving.name;
  const Parallelogram more = parallelogram(350.0, 1.0);
  ASSERT_GT(std::abs(more.toe_rad(40.0) - more.toe_rad(0.0)), rad_from_deg(0.02));
  EXPECT_TRUE(advise({more.set(), RodEnd{}, {}, {}}).worth_changing);
}

// Arms of 80 mm turn upright at 80 mm of travel; the closed form knows how far they get.
TEST(Locking, LimitsTheTravelThatTheWordsClaimAndComesFirst) {
  Parallelogram small;
  small.arm_mm = 80.0;
  small.link_across_mm = 80.0;
  small.outer_high_mm = 3.0;
  const Advice advice = advise({small.set(), RodEnd{}, {"", {120.0, 30.0}, {}}, {}});
  EXPECT_TRUE(advice.sentences.at(0).starts_with("The corner locks at 7")) << all(advice);
  EXPECT_TRUE(with_plain_spaces(advice.sentences.at(0)).find("mm of bump (120 mm asked)") !=
              std::string::npos)
      << all(advice);
  const std::string brings = sentence_with(advice, "Toe change over ");
  double claimed_mm = 0.0;
  ASSERT_EQ(std::sscanf(brings.c_str(), "Toe change over %lf mm bump, where it locks, and 30 mm droop ",
                        &claimed_mm),
            1)
      << brings;
  EXPECT_TRUE(std::isfinite(small.toe_rad(claimed_mm)));
  EXPECT_LE(claimed_mm, 80.0);
  EXPECT_GE(claimed_mm, 70.0);
  EXPECT_FALSE(has(advise({small.set(), RodEnd{}, {"", {30.0, 30.0}, {}}, {}}).sentences, "lock"));
}

}  // namespace
}  // namespace pivotfix
