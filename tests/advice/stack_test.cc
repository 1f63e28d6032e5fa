// SPDX-License-Identifier: Apache-2.0
#include "advice/stack.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <random>

#include "base/problem.h"

namespace pivotfix {
namespace {

RodEnd rod_end_with(std::vector<Spacer> between_now, std::vector<Spacer> stock) {
  RodEnd rod_end;
  rod_end.between_now = std::move(between_now);
  rod_end.stock = std::move(stock);
  return rod_end;
}

const Spacer thick{5.08, 1, "0.200 in"};
const Spacer middle{2.54, 1, "0.100 in"};
const Spacer thin{1.524, 2, "0.060 in"};

TEST(Stack, MoreBetweenLowersARodEndBelowTheArmAndRaisesOneAbove) {
  RodEnd rod_end = rod_end_with({middle}, {thick, middle, thin});
  const Stack lowered = nearest_stacks(rod_end, -4.064, 5).front();
  EXPECT_EQ(words_of(lowered.between), "0.200 in + 0.060 in");
  EXPECT_NEAR(lowered.between_mm, 6.604, 1e-12);
  EXPECT_NEAR(lowered.height_change_mm, -4.064, 1e-12);
  EXPECT_NEAR(lowered.short_of_best_mm, 0.0, 1e-12);
  EXPECT_EQ(words_of(lowered.other_side), "0.100 in + 0.060 in") << "all of them stay on the stud";
  EXPECT_NEAR(lowered.total_mm, 5.08 + 2.54 + 2 * 1.524, 1e-12);

  rod_end.mount = RodEndMount::above_arm;
  const Stack raised = nearest_stacks(rod_end, 4.064, 5).front();
  EXPECT_EQ(words_of(raised.between), "0.200 in + 0.060 in");
  EXPECT_NEAR(raised.height_change_mm, 4.064, 1e-12);
}

TEST(Stack, ListsDistinctHeightsNearestFirst) {
  const std::vector<Stack> stacks = nearest_stacks(rod_end_with({middle}, {thick, middle, thin}), -3.0, 5);
  ASSERT_EQ(stacks.size(), 5U);
  for (std::size_t i = 1; i < stacks.size(); ++i) {
    EXPECT_LE(std::abs(stacks[i - 1].short_of_best_mm), std::abs(stacks[i].short_of_best_mm));
    EXPECT_GT(std::abs(stacks[i - 1].between_mm - stacks[i].between_mm), 5e-4);
  }
}

TEST(Stack, OfFewestSpacersIsTakenAmongEqualHeights) {
  const Stack stack =
      nearest_stacks(rod_end_with({}, {{1.0, 6, "1"}, {3.0, 1, "3"}, {2.0, 1, "2"}}), -6.0, 1).front();
  EXPECT_EQ(words_of(stack.between), "3 + 2 + 1");
}

TEST(Stack, PrefersSpacersThatAreOnTheCarAmongEquals) {
  // 4 + 1 and 3 + 2 are both 5 mm thick; 3 and 2 are on the car.
  const std::vector<Spacer> stock = {{4.0, 1, "4"}, {3.0, 1, "3"}, {2.0, 1, "2"}, {1.0, 1, "1"}};
  EXPECT_EQ(words_of(nearest_stacks(rod_end_with({stock[1], stock[2]}, stock), 0.0, 1).front().between),
            "3 + 2");
  EXPECT_EQ(words_of(nearest_stacks(rod_end_with({stock[0], stock[3]}, stock), 0.0, 1).front().between),
            "4 + 1");
}

TEST(Stack, CountsSpacersOnTheCarThatAreMissingInTheStock) {
  const Stack stack = nearest_stacks(rod_end_with({middle}, {thick}), 0.0, 1).front();
  EXPECT_EQ(words_of(stack.between), "0.100 in");
  EXPECT_EQ(words_of(stack.other_side), "0.200 in");
  EXPECT_TRUE(stack.left_over.empty());
}

TEST(Stack, GoesDownToNothingButNotFurther) {
  const Stack stack = nearest_stacks(rod_end_with({middle}, {thick}), 8.0, 1).front();
  EXPECT_TRUE(stack.between.empty());
  EXPECT_NEAR(stack.height_change_mm, 2.54, 1e-12);
  EXPECT_NEAR(stack.short_of_best_mm, 2.54 - 8.0, 1e-12);
  EXPECT_EQ(words_of(stack.other_side), "0.200 in + 0.100 in");
}

// However often they were listed.
TEST(Stack, CountsSpacersThatAreAlikeTogether) {
  RodEnd rod_end = rod_end_with({thick, thick, middle}, {thick, thick, middle});
  EXPECT_EQ(words_of(stack_now(rod_end).between), "2 x 0.200 in + 0.100 in");
  EXPECT_EQ(words_of(nearest_stacks(rod_end, 0.0, 1).front().between), "2 x 0.200 in + 0.100 in");
  rod_end.other_side_now = std::vector<Spacer>{thin, thick, thick};
  EXPECT_EQ(words_of(stack_now(rod_end).other_side), "2 x 0.060 in + 2 x 0.200 in");
}

TEST(Stack, IsEmptyWithoutSpacers) {
  EXPECT_TRUE(nearest_stacks(rod_end_with({}, {}), -3.0, 5).empty());
  EXPECT_TRUE(nearest_stacks(rod_end_with({}, {{2.0, 0, "none left"}}), -3.0, 5).empty());
}

TEST(Stack, RefusesASpacerWithoutThickness) {
  EXPECT_THROW(nearest_stacks(rod_end_with({}, {{0.0, 1, "0"}}), 0.0, 5), Problem);
  EXPECT_THROW(nearest_stacks(rod_end_with({}, {{std::nan(""), 1, "?"}}), 0.0, 5), Problem);
}

// Every choice tried one by one.
TEST(Stack, IsTheBestOfAllChoices) {
  std::mt19937 random(3);
  for (int round = 0; round < 60; ++round) {
    std::vector<Spacer> stock;
    std::size_t choices = 1;
    while (stock.size() < 7 && choices < 4000) {
      stock.push_back(
          {0.127 * static_cast<double>(1 + random() % 60), static_cast<int>(1 + random() % 3), ""});
      choices *= static_cast<std::size_t>(stock.back().count) + 1;
    }
    const double wanted = -0.01 * static_cast<double>(random() % 2500);
    std::map<long, int> fewest;  // sum in micrometres -> number of spacers
    std::vector<int> counts(stock.size(), 0);
    for (std::size_t choice = 0; choice < choices; ++choice) {
      std::size_t rest = choice;
      double sum = 0.0;
      int number = 0;
      for (const Spacer& spacer : stock) {
        const int count = static_cast<int>(rest % (static_cast<std::size_t>(spacer.count) + 1));
        rest /= static_cast<std::size_t>(spacer.count) + 1;
        sum += count * spacer.thickness_mm;
        number += count;
      }
      const auto [at, fresh] = fewest.try_emplace(std::lround(1000.0 * sum), number);
      if (!fresh) at->second = std::min(at->second, number);
    }
    std::vector<double> misses;
    for (const auto& [sum, number] : fewest)
      misses.push_back(std::abs(0.001 * static_cast<double>(sum) + wanted));
    std::sort(misses.begin(), misses.end());
    const std::vector<Stack> stacks = nearest_stacks(rod_end_with({}, stock), wanted, 5);
    ASSERT_EQ(stacks.size(), std::min<std::size_t>(5, misses.size()));
    for (std::size_t i = 0; i < stacks.size(); ++i) {
      EXPECT_NEAR(std::abs(stacks[i].short_of_best_mm), misses[i], 1.1e-3) << "round " << round;
      int number = 0;
      for (const Spacer& spacer : stacks[i].between) number += spacer.count;
      EXPECT_EQ(number, fewest.at(std::lround(1000.0 * stacks[i].between_mm))) << "round " << round;
    }
  }
}

TEST(Stack, SearchesTwelveUnlikeSpacersWithManyOfEach) {
  std::vector<Spacer> stock;
  for (int i = 0; i < 12; ++i) stock.push_back({0.5 + 0.37 * i, 6, ""});  // 7^12 choices
  const Stack stack = nearest_stacks(rod_end_with({}, stock), -23.456, 1).front();
  EXPECT_LT(std::abs(stack.short_of_best_mm), 0.01);
}

}  // namespace
}  // namespace pivotfix
