// SPDX-License-Identifier: Apache-2.0
#include "compare/touched.h"

#include <gtest/gtest.h>

#include "compare/compare.h"
#include "compare/made_up_measurements.h"

namespace pivotfix {
namespace {

// Two points err alike but for a tenth: what the second says of the error is taken off the first.
// By hand: shift (5, 3), covariance ((1, r), (r, 1)): estimate 5 - 3 r, variance 1 - r^2.
TEST(TouchedShifts, TakeOffWhatTheOthersSayOfTheError) {
  const double r = 0.9;
  Eigen::MatrixXd covariance = Eigen::MatrixXd::Identity(6, 6);
  covariance(0, 3) = covariance(3, 0) = r;
  Eigen::VectorXd shift = Eigen::VectorXd::Zero(6);
  shift[0] = 5.0;
  shift[3] = 3.0;
  const TouchedShifts touched =
      touched_shifts(shift, covariance, {{0, Eigen::Vector3d(Eigen::Vector3d::UnitX())}});
  ASSERT_EQ(touched.shift_mm.size(), 1);
  EXPECT_NEAR(touched.shift_mm[0], 5.0 - 3.0 * r, 1e-12);
  EXPECT_NEAR(touched.covariance_mm2(0, 0), 1.0 - r * r, 1e-12);
  EXPECT_NEAR(touched.rest_chi_square, 9.0, 1e-12) << "what is left at the second point";
  EXPECT_EQ(touched.rest_freedom, 5);
}

TEST(TouchedShifts, OfAllPivotsAreTheDifferencesThemselves) {
  Eigen::VectorXd shift(6);
  shift << 1, 2, 3, 4, 5, 6;
  Eigen::MatrixXd covariance = Eigen::MatrixXd::Identity(6, 6);
  covariance(1, 4) = covariance(4, 1) = 0.5;
  const TouchedShifts touched = touched_shifts(shift, covariance, {{1, {}}, {0, {}}});
  EXPECT_LT((touched.shift_mm - (Eigen::VectorXd(6) << 4, 5, 6, 1, 2, 3).finished()).norm(), 1e-12);
  EXPECT_EQ(touched.rest_freedom, 0);
}

HardpointSet measured_set() {
  HardpointSet set = strut_set();
  set.covariance_mm2 = made_up_covariance(positions_of(set), 0.3, true);
  return set;
}

TEST(Compare, JudgesOnlyWhatWasTouchedAndMeasuresItFromTheOthers) {
  const HardpointSet before = measured_set();
  HardpointSet after = before;
  after.points[6].position_vehicle_mm.z() -= 2.0;
  CompareOptions options;
  options.touched = {{"link_outer_joint", Eigen::Vector3d(Eigen::Vector3d::UnitZ()), "along z"}};
  const Comparison comparison = compare(before, after, options);
  EXPECT_TRUE(comparison.touched_only);
  for (const Shift& shift : comparison.shifts) EXPECT_EQ(shift.reference, shift.name != "link_outer_joint");
  EXPECT_NEAR(comparison.shifts[6].shift_mm.z(), -2.0, 1e-9);
  EXPECT_EQ(comparison.shifts[6].verdict.movement, Movement::surely);
  EXPECT_LT(comparison.shifts[6].sigma_mm().z(), compare(before, after).shifts[6].sigma_mm().z());
}

TEST(Compare, JudgesEveryPivotWhenSomethingElseHasMovedToo) {
  const HardpointSet before = measured_set();
  HardpointSet after = before;
  after.points[6].position_vehicle_mm.z() -= 2.0;
  after.points[2].position_vehicle_mm.x() += 9.0;
  CompareOptions options;
  options.touched = {{"link_outer_joint", {}, ""}};
  const Comparison comparison = compare(before, after, options);
  EXPECT_FALSE(comparison.touched_only);
  EXPECT_EQ(comparison.shifts[2].verdict.movement, Movement::surely);
  ASSERT_FALSE(comparison.notes.empty());
  EXPECT_EQ(
      comparison.notes.back(),
      "More has moved than you said was touched, or otherwise than you said; so every pivot was judged.");
}

// The second time the lower arm's motion told its hinge's line: that its pivots stand elsewhere on it is no
// sign that more was touched.
TEST(Compare, HoldsNothingAlongALineOfPivotsThatWereNotTouched) {
  const HardpointSet before = measured_set();
  HardpointSet after = before;
  after.points[6].position_vehicle_mm.z() -= 2.0;
  const Eigen::Vector3d along =
      (after.points[0].position_vehicle_mm - after.points[1].position_vehicle_mm).normalized();
  for (const std::size_t pivot : {0U, 1U}) {
    after.points[pivot].position_vehicle_mm -= 60.0 * along;
    after.points[pivot].on_line_only = true;
  }
  CompareOptions options;
  options.touched = {{"link_outer_joint", Eigen::Vector3d(Eigen::Vector3d::UnitZ()), "along z"}};
  const Comparison comparison = compare(before, after, options);
  EXPECT_TRUE(comparison.touched_only);
  EXPECT_EQ(comparison.shifts[6].verdict.movement, Movement::surely);
  EXPECT_NEAR(comparison.shifts[6].shift_mm.z(), -2.0, 1e-6);
}

TEST(Compare, SeesATouchedPivotMoveAcrossItsLineOnly) {
  const HardpointSet before = measured_set();
  HardpointSet after = before;
  const Eigen::Vector3d along =
      (after.points[0].position_vehicle_mm - after.points[1].position_vehicle_mm).normalized();
  after.points[0].on_line_only = true;
  after.points[0].position_vehicle_mm -= 60.0 * along;
  CompareOptions options;
  options.touched = {{"lower_arm_front_pivot", Eigen::Vector3d(Eigen::Vector3d::UnitX()), "along x"}};
  const Shift slid = compare(before, after, options).shifts[0];
  EXPECT_FALSE(slid.reference);
  EXPECT_EQ(slid.verdict.movement, Movement::none);
  EXPECT_LT(slid.shift_mm.norm(), 1e-6);
  EXPECT_EQ(slid.direction_words, "");
  after.points[0].position_vehicle_mm.z() += 6.0;
  const Shift raised = compare(before, after, options).shifts[0];
  EXPECT_EQ(raised.verdict.movement, Movement::surely);
  EXPECT_LT(std::abs(raised.shift_mm.dot(along)), 0.1);
}

}  // namespace
}  // namespace pivotfix
