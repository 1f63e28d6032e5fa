// SPDX-License-Identifier: Apache-2.0
// Toe readings and hardpoints together: against textbook numbers, a straight Bayes formula and many simulated
// workshops. All corners are invented.
#include "advice/verify.h"

#include <gtest/gtest.h>

#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <cstdio>
#include <random>

#include "advice/height.h"
#include "advice/made_up_sets.h"
#include "advice/words_of_advice.h"
#include "base/problem.h"
#include "base/units.h"
#include "corner/example_corners.h"

namespace pivotfix {
namespace {

const Driving driving{};

Corner corner_with_sigma(double sigma_mm) {
  HardpointSet set = strut_set();
  set.covariance_mm2 = sigma_mm * sigma_mm * Eigen::MatrixXd::Identity(24, 24);
  return make_corner(set);
}

double toe_change_rad(const Corner& corner, double travel_mm) {
  return solved_at(corner, travel_mm).toe_rad - corner.wheel.toe_rad;
}

std::vector<ToeReading> readings_of(const Corner& corner, double offset_rad, double sigma_rad) {
  std::vector<ToeReading> readings;
  for (const double travel_mm : {0.0, 25.4, -25.4, 40.0})
    readings.push_back({travel_mm, offset_rad + toe_change_rad(corner, travel_mm), sigma_rad, 0.0});
  return readings;
}

TEST(Verify, LeavesTheAnswerWhereReadingsAgreeAndMakesItSurer) {
  const Corner corner = corner_with_sigma(0.5);
  const VerifiedCorner verified = verify(corner, driving, readings_of(corner, 0.004, rad_from_deg(0.02)));
  const Verification& result = verified.verification;
  EXPECT_TRUE(result.consistent);
  EXPECT_NEAR(result.chi_square, 0.0, 1e-9);
  EXPECT_NEAR(result.height_refined_mm.value, result.height_before_mm.value, 1e-6);
  EXPECT_LT(result.height_refined_mm.sigma, 0.5 * result.height_before_mm.sigma);
  EXPECT_GT(result.height_refined_mm.sigma, 0.05);
  for (const ReadingCheck& check : result.readings)
    EXPECT_NEAR(check.measured_change_rad, check.predicted_change_rad.value, 1e-9)
        << "the rack's zero drops out";
}

TEST(Verify, FindsTheTrueHeightFromPreciseReadingsOfACornerMeasuredBadly) {
  Corner truth = make_corner(strut_set());
  Corner measured = corner_with_sigma(1.0);
  const std::size_t inner = strut_set().index_of("link_inner_joint");
  measured.points[inner].position_vehicle_mm.z() += 1.3;
  measured.points[2].position_vehicle_mm.z() -= 0.8;
  std::vector<ToeReading> readings;
  for (double travel_mm = -40.0; travel_mm <= 40.0; travel_mm += 10.0)
    readings.push_back({travel_mm, toe_change_rad(truth, travel_mm), rad_from_deg(0.001), 0.0});
  const Verification result = verify(measured, driving, readings).verification;
  const double true_height = best_height(truth, driving).height_mm;
  EXPECT_GT(std::abs(result.height_before_mm.value - true_height), 0.5);
  EXPECT_NEAR(result.height_refined_mm.value, true_height, 0.2);
  EXPECT_LT(std::abs(result.height_refined_mm.value - true_height),
            3.0 * result.height_refined_mm.sigma + 0.02);
  EXPECT_TRUE(result.refined);
}

TEST(Verify, GivesReadingsOfARackAndOfPhotosAZeroEach) {
  const Corner corner = corner_with_sigma(0.5);
  std::vector<ToeReading> readings = readings_of(corner, 0.004, rad_from_deg(0.02));
  for (ToeReading reading : readings_of(corner, -0.02, rad_from_deg(0.01))) {
    reading.from_photos = true;
    readings.push_back(reading);
  }
  const Verification result = verify(corner, driving, readings).verification;
  EXPECT_TRUE(result.refined);
  EXPECT_NEAR(result.chi_square, 0.0, 1e-9);
  EXPECT_EQ(result.degrees_of_freedom, 6);
  for (const ReadingCheck& check : result.readings)
    EXPECT_NEAR(check.measured_change_rad, check.predicted_change_rad.value, 1e-9);
}

TEST(Verify, OnlyComparesReadingsThatTheHardpointsRestOn) {
  const Corner corner = corner_with_sigma(0.5);
  std::vector<ToeReading> readings = readings_of(corner, 0.0, rad_from_deg(0.02));
  for (ToeReading& reading : readings) reading.from_photos = reading.only_compared = true;
  const VerifiedCorner agreeing = verify(corner, driving, readings);
  EXPECT_TRUE(agreeing.verification.consistent);
  EXPECT_FALSE(agreeing.verification.refined);
  EXPECT_EQ(agreeing.corner.covariance_mm2, corner.covariance_mm2);
  readings[1].toe_rad += rad_from_deg(2.0);
  EXPECT_FALSE(verify(corner, driving, readings).verification.consistent) << "still a check";
}

// What rests on the hardpoints' own motion agrees with them by making, and must not lend its weight to a
// rack.
TEST(Verify, JudgesTheRackByItself) {
  const Corner corner = corner_with_sigma(0.5);
  std::vector<ToeReading> rack = readings_of(corner, 0.0, rad_from_deg(0.02));
  double off_rad = 0.0;
  while (verify(corner, driving, rack).verification.consistent) {
    rack[1].toe_rad += rad_from_deg(0.002);
    off_rad += rad_from_deg(0.002);
  }
  std::vector<ToeReading> both = rack;
  for (ToeReading reading : readings_of(corner, 0.0, rad_from_deg(0.01))) {
    reading.from_photos = reading.only_compared = true;
    both.push_back(reading);
  }
  EXPECT_FALSE(verify(corner, driving, both).verification.consistent) << deg_from_rad(off_rad);
  both[1].toe_rad -= rad_from_deg(0.004);
  EXPECT_TRUE(verify(corner, driving, both).verification.consistent) << "nor against it";
  both.back().toe_rad += rad_from_deg(2.0);
  EXPECT_FALSE(verify(corner, driving, both).verification.consistent) << "the photos are a check still";
}

// Bayes' rule written as a sum of information matrices, the unknown zero of the rack as one more unknown.
TEST(Verify, IsTheSumOfInformation) {
  const Corner corner = corner_with_sigma(0.01);  // so small that toe is linear
  std::vector<ToeReading> readings = readings_of(corner, 0.001, 2e-6);
  readings[1].toe_rad += 3e-6;
  readings[2].toe_rad -= 2e-6;
  const Eigen::Index n = 24;
  Eigen::MatrixXd information = Eigen::MatrixXd::Zero(n + 1, n + 1);
  Eigen::VectorXd right = Eigen::VectorXd::Zero(n + 1);
  information.topLeftCorner(n, n) = corner.covariance_mm2.inverse();
  for (const ToeReading& reading : readings) {
    Eigen::VectorXd row = Eigen::VectorXd::Ones(n + 1);
    row.head(n) = derivatives(corner, solved_at(corner, reading.travel_mm)).toe_by_coordinate;
    const double weight = 1.0 / (reading.sigma_rad * reading.sigma_rad);
    information += weight * row * row.transpose();
    right += weight * row * (reading.toe_rad - toe_change_rad(corner, reading.travel_mm));
  }
  const Eigen::VectorXd solution = information.ldlt().solve(right);
  const Eigen::MatrixXd covariance = information.inverse().topLeftCorner(n, n);
  const VerifiedCorner verified = verify(corner, driving, readings);
  ASSERT_TRUE(verified.verification.refined);
  EXPECT_LT((verified.corner.covariance_mm2 - covariance).cwiseAbs().maxCoeff(), 1e-4 * 1e-4);
  for (std::size_t i = 0; i < corner.points.size(); ++i)
    EXPECT_LT((verified.corner.points[i].position_vehicle_mm - corner.points[i].position_vehicle_mm -
               solution.segment<3>(static_cast<Eigen::Index>(3 * i)))
                  .norm(),
              1e-5);
}

TEST(Verify, StatesTheUncertaintyThatManyWorkshopsHave) {
  const Corner truth = make_corner(strut_set());
  const double true_height = best_height(truth, driving).height_mm;
  std::mt19937 random(17);
  std::normal_distribution<double> normal(0.0, 1.0);
  const double sigma_mm = 0.4;
  const double sigma_rad = rad_from_deg(0.03);
  double squares = 0.0;
  double chi_squares = 0.0;
  int degrees = 0;
  int contradictions = 0;
  constexpr int workshops = 400;  // a mean square scatters by sqrt(2 / 400) = 7 %
  for (int i = 0; i < workshops; ++i) {
    Corner measured = corner_with_sigma(sigma_mm);
    for (Hardpoint& point : measured.points)
      for (double& coordinate : point.position_vehicle_mm) coordinate += sigma_mm * normal(random);
    std::vector<ToeReading> readings = readings_of(truth, 0.002 * normal(random), sigma_rad);
    for (ToeReading& reading : readings) reading.toe_rad += sigma_rad * normal(random);
    const Verification result = verify(measured, driving, readings).verification;
    chi_squares += result.chi_square;
    degrees += result.degrees_of_freedom;
    contradictions += result.consistent ? 0 : 1;
    const double miss = result.height_refined_mm.value - true_height;
    squares += std::pow(miss / result.height_refined_mm.sigma, 2);
  }
  std::printf(
      "toe readings worked in, %d simulated workshops: squared miss over stated variance %.2f, chi square "
      "per "
      "degree of freedom %.2f (true value 1)\n",
      workshops, squares / workshops, chi_squares / degrees);
  EXPECT_NEAR(squares / workshops, 1.0, 0.25);
  EXPECT_NEAR(chi_squares / degrees, 1.0, 0.15);
  EXPECT_LE(contradictions, 12) << "one in a hundred is expected";
}

TEST(Verify, DoesNotBlendWhatContradicts) {
  const Corner corner = corner_with_sigma(0.1);
  std::vector<ToeReading> readings = readings_of(corner, 0.0, rad_from_deg(0.02));
  readings[1].toe_rad += rad_from_deg(0.4);
  const VerifiedCorner verified = verify(corner, driving, readings);
  EXPECT_FALSE(verified.verification.consistent);
  EXPECT_FALSE(verified.verification.refined);
  EXPECT_LT(verified.verification.probability, 0.001);
  EXPECT_EQ(verified.corner.points[1].position_vehicle_mm, corner.points[1].position_vehicle_mm);
}

TEST(Verify, OnlyComparesWhereTheHardpointsHaveNoUncertainty) {
  const Corner corner = make_corner(strut_set());
  const Verification result = verify(corner, driving, readings_of(corner, 0.0, 1e-4)).verification;
  EXPECT_FALSE(result.refined);
  EXPECT_EQ(result.degrees_of_freedom, 0);
  EXPECT_EQ(result.readings.size(), 4U);
}

TEST(Verify, RefusesReadingsThatSayNothing) {
  const Corner corner = corner_with_sigma(0.5);
  EXPECT_THROW(verify(corner, driving, {{0.0, 0.001, 1e-4, 0.5}}), Problem);
  EXPECT_THROW(verify(corner, driving, {{10.0, 0.001, 1e-4, 0.5}, {10.0, 0.001, 1e-4, 0.5}}), Problem);
  EXPECT_THROW(verify(corner, driving, {{0.0, 0.001, 0.0, 0.5}, {10.0, 0.001, 1e-4, 0.5}}), Problem);
  EXPECT_THROW(verify(corner, driving, {{0.0, 0.001, 1e-4, 0.5}, {900.0, 0.001, 1e-4, 0.5}}), Problem);
}

TEST(Readings, ChangeTheAdviceWhenTheyFitAndStopItWhenTheyDoNot) {
  const HardpointSet set = with_sigma(strut_set(), 0.8);
  const Corner corner = make_corner(set);
  // The readings are those of a car whose link sits 1.5 mm lower inboard.
  Corner truth = corner;
  truth.points[set.index_of("link_inner_joint")].position_vehicle_mm.z() -= 1.5;
  std::vector<ToeReading> readings;
  for (const double travel_mm : {0.0, 25.4, -25.4})
    readings.push_back({travel_mm, solved_at(truth, travel_mm).toe_rad, rad_from_deg(0.01), 0.2});
  const Advice before = advise({set, some_rod_end(), {}, {}});
  const Advice after = advise({set, some_rod_end(), {}, readings});
  ASSERT_TRUE(after.verification && after.verification->refined);
  EXPECT_TRUE(
      has(after.sentences, "The toe readings fit and are worked in: they bring the best height from "));
  EXPECT_EQ(after.best_height_change_mm.value, after.verification->height_refined_mm.value);
  EXPECT_EQ(before.best_height_change_mm.value, after.verification->height_before_mm.value);
  EXPECT_LT(std::abs(after.best_height_change_mm.value - best_height(truth, Travel{}).height_mm),
            0.3 * std::abs(before.best_height_change_mm.value - best_height(truth, Travel{}).height_mm));

  readings[1].toe_rad += rad_from_deg(1.0);
  const Advice contradicted = advise({set, some_rod_end(), {}, readings});
  EXPECT_TRUE(contradicted.sentences.at(0).starts_with("Do not act on this yet"));
  EXPECT_TRUE(contradicted.warnings.at(0).starts_with("The toe readings contradict the hardpoints"));
  EXPECT_EQ(contradicted.best_height_change_mm.value, before.best_height_change_mm.value);
  EXPECT_TRUE(has(advise({strut_set(), some_rod_end(), {}, readings}).warnings,
                  "so the toe readings are only shown beside them"));
}

TEST(Readings, OnTheRightAreThoseOfTheMirroredCorner) {
  const HardpointSet set = with_sigma(strut_set(), 0.8);
  std::vector<ToeReading> readings = {{0.0, 0.001, 3e-4, 0.5}, {25.4, 0.0005, 3e-4, 0.5}};
  const Advice left = advise({set, some_rod_end(), {}, readings});
  const Advice right = advise({mirrored(set), some_rod_end(), {}, readings});
  EXPECT_EQ(left.best_height_change_mm.value, right.best_height_change_mm.value);
  EXPECT_EQ(left.sentences, right.sentences);
  ASSERT_EQ(left.shares.size(), right.shares.size());
  for (std::size_t i = 0; i < 8; ++i)
    EXPECT_NEAR(left.shares[i].mm_per_mm,
                (right.shares[i].coordinate == 1 ? -1.0 : 1.0) * right.shares[i].mm_per_mm, 1e-9);
}

}  // namespace
}  // namespace pivotfix
