// SPDX-License-Identifier: Apache-2.0
#include "compare/congruence.h"

#include <gtest/gtest.h>

#include <cmath>

#include "base/problem.h"

namespace pivotfix {
namespace {

const std::vector<Eigen::Index> eight_points(8, 3);

// Tail of chi square with three degrees of freedom in closed form.
double tail_of_three(double x) {
  return std::erfc(std::sqrt(0.5 * x)) + std::sqrt(2.0 * x / M_PI) * std::exp(-0.5 * x);
}

double share_of_several(double tail, int tests) {
  return -std::expm1(tests * std::log1p(-tail));
}

// Eight independent points and, beyond them, the test of all together, which runs with them: more than
// Sidak's chance of eight tests, less than that of nine.
TEST(Congruence, ChanceIsSidaksWhenPointsAreIndependent) {
  for (const double statistic : {5.0, 12.0, 20.0, 40.0, 90.0}) {
    Eigen::VectorXd shift = Eigen::VectorXd::Zero(24);
    shift[4] = std::sqrt(statistic);
    const Congruence congruence =
        judge_congruence(shift, Eigen::MatrixXd::Identity(24, 24), eight_points, 0.05);
    const Verdict& moved = congruence.parts[1];
    const double tail = tail_of_three(statistic);
    EXPECT_NEAR(moved.alone / tail, 1.0, 1e-9);
    EXPECT_GT(moved.probability, 0.93 * share_of_several(tail, 8)) << statistic;
    EXPECT_LT(moved.probability, 1.07 * share_of_several(tail, 9)) << statistic;
  }
}

TEST(Congruence, PointsThatErrLikeEachOtherCountOnce) {
  // All points share one error: nine tests are one.
  const Eigen::MatrixXd all_alike = Eigen::Matrix3d::Identity().replicate(8, 8);
  Eigen::VectorXd shift = Eigen::VectorXd::Zero(24);
  for (Eigen::Index i = 0; i < 24; i += 3) shift[i] = std::sqrt(7.9);
  const Congruence congruence = judge_congruence(shift, all_alike, eight_points, 0.05);
  EXPECT_EQ(congruence.together.freedom, 3);
  for (const Verdict& point : congruence.parts) {
    EXPECT_NEAR(point.probability, tail_of_three(7.9), 1e-6);
    EXPECT_EQ(point.movement, Movement::surely);
  }
}

TEST(Congruence, OnePartAloneHasItsTextbookChance) {
  Eigen::VectorXd shift(1);
  shift << 1.96;
  const Congruence congruence = judge_congruence(shift, Eigen::MatrixXd::Identity(1, 1), {1}, 0.051);
  EXPECT_NEAR(congruence.parts[0].probability, 0.05, 1e-4);
  EXPECT_EQ(congruence.parts[0].movement, Movement::surely);
}

TEST(Congruence, APointThatSurelyMovedDoesNotMakeTheNextOneHarderToSee) {
  // 0.05 of two points by Bonferroni is 0.025 each: 9.35. Alone with the first out of the way: 7.81.
  Eigen::VectorXd shift = Eigen::VectorXd::Zero(6);
  shift[3] = std::sqrt(8.4);
  const Eigen::MatrixXd covariance = Eigen::MatrixXd::Identity(6, 6);
  EXPECT_EQ(judge_congruence(shift, covariance, {3, 3}, 0.05).parts[1].movement, Movement::perhaps);
  shift[0] = 20.0;
  EXPECT_EQ(judge_congruence(shift, covariance, {3, 3}, 0.05).parts[1].movement, Movement::surely);
}

TEST(Congruence, ChancesAreInTheOrderOfThePartsOwn) {
  Eigen::VectorXd shift = Eigen::VectorXd::Zero(24);
  for (Eigen::Index i = 0; i < 8; ++i) shift[3 * i] = 0.3 * static_cast<double>(i * i % 11);
  const Congruence congruence =
      judge_congruence(shift, Eigen::MatrixXd::Identity(24, 24), eight_points, 0.05);
  for (const Verdict& a : congruence.parts)
    for (const Verdict& b : congruence.parts)
      EXPECT_TRUE(a.alone >= b.alone || a.probability <= b.probability);
}

TEST(Congruence, LeavesOutDirectionsThatAreCertain) {
  Eigen::MatrixXd covariance = Eigen::MatrixXd::Zero(6, 6);
  covariance(0, 0) = covariance(3, 3) = 1.0;
  Eigen::VectorXd shift(6);
  shift << 1, 100, 100, 5, 0, 0;
  const Congruence congruence = judge_congruence(shift, covariance, {3, 3}, 0.05);
  EXPECT_EQ(congruence.together.freedom, 2);
  EXPECT_NEAR(congruence.together.statistic, 26.0, 1e-9);
  EXPECT_EQ(congruence.parts[0].movement, Movement::none);
  EXPECT_EQ(congruence.parts[1].movement, Movement::surely);
}

TEST(Congruence, RefusesASenselessShareOfFalseAlarms) {
  const Eigen::VectorXd shift = Eigen::VectorXd::Zero(3);
  EXPECT_THROW(judge_congruence(shift, Eigen::MatrixXd::Identity(3, 3), {3}, 0.9), Problem);
}

}  // namespace
}  // namespace pivotfix
