// SPDX-License-Identifier: Apache-2.0
// Measurements of a car that did not stand at its recorded ride height. Oracle: the corner solved at the
// height it stood at.
#include "compare/recorded_tags.h"

#include <gtest/gtest.h>

#include <cmath>

#include "advice/what_if.h"
#include "compare/compare.h"
#include "compare/detection.h"
#include "corner/other_ride_height.h"

namespace pivotfix {
namespace {

// As the photos see it with the wheel `above_mm` in bump: heights from the ground, tags on the body.
HardpointSet standing_off(const HardpointSet& truth, double above_mm, double sigma_mm) {
  HardpointSet set =
      with_corner(truth, at_other_ride_height(make_corner(truth), above_mm, 0.0, Kept::link_length));
  set.wheel = truth.wheel;
  for (Eigen::Vector3d& centre : set.body_tags.centres_vehicle_mm) centre.z() -= above_mm;
  set.ride_height = RideHeightMiss{above_mm, sigma_mm};
  set.body_tags.covariance_mm2 = truth.body_tags.covariance_mm2;
  set.covariance_mm2 = truth.covariance_mm2;
  return set;
}

HardpointSet with_covariance(HardpointSet set) {
  const Eigen::MatrixXd covariance = made_up_covariance(all_positions(set), 0.2, true);
  set.covariance_mm2 = covariance.topLeftCorner(24, 24);
  set.body_tags.covariance_mm2 = covariance.bottomRows(18);
  return set;
}

double largest_shift_mm(const Comparison& comparison) {
  double largest = 0.0;
  for (const Shift& shift : comparison.shifts) largest = std::max(largest, shift.shift_mm.norm());
  return largest;
}

TEST(StandingAsRecorded, ACarJackedDifferentlyHasNotMoved) {
  const HardpointSet truth = with_covariance(with_tags(strut_set()));
  const HardpointSet high = standing_off(truth, 6.0, 0.0), low = standing_off(truth, -4.0, 0.0);
  CompareOptions on_axes;
  on_axes.on_axes = true;
  // The wheel's toe and camber are those of ride height, as the user says them, not those of the photos.
  constexpr double seen_nowhere_mm = 1e-3;
  EXPECT_LT(largest_shift_mm(compare(high, low, on_axes)), seen_nowhere_mm);
  EXPECT_LT(largest_shift_mm(compare(high, low)), seen_nowhere_mm);
  HardpointSet forgotten = high;
  forgotten.ride_height.reset();
  EXPECT_GT(largest_shift_mm(compare(forgotten, truth, on_axes)), 5.0) << "without the record it would show";
}

// On the body's tags the height's error moves what hangs on the wheel, not what sits on the body.
TEST(StandingAsRecorded, TheHeightsErrorIsInTheWheelsPivotsNotInTheBodys) {
  const HardpointSet truth = with_covariance(with_tags(strut_set()));
  const auto z_sigma_mm = [&](double height_sigma_mm, const char* pivot) {
    const Comparison comparison = compare(standing_off(truth, 5.0, height_sigma_mm), truth);
    for (const Shift& shift : comparison.shifts)
      if (shift.name == pivot) return shift.sigma_mm().z();
    return 0.0;
  };
  EXPECT_NEAR(z_sigma_mm(2.0, "lower_arm_front_pivot"), z_sigma_mm(0.0, "lower_arm_front_pivot"), 1e-3);
  const double with = z_sigma_mm(2.0, "wheel_centre"), without = z_sigma_mm(0.0, "wheel_centre");
  EXPECT_NEAR(std::sqrt(with * with - without * without), 2.0, 0.01);
}

// What the tags' covariance is made from: exact derivatives against central differences of the solved corner.
TEST(OtherRideHeight, HasTheDerivativesOfTheCornerThatIsSolvedThere) {
  const Corner corner = make_corner(strut_set());
  const auto coordinates = [](const Corner& of) {
    Eigen::VectorXd all(3 * of.points.size());
    for (std::size_t i = 0; i < of.points.size(); ++i)
      all.segment<3>(static_cast<Eigen::Index>(3 * i)) = of.points[i].position_vehicle_mm;
    return all;
  };
  const auto there = [&](std::size_t point, Eigen::Index c, double by_mm, double travel_mm) {
    Corner moved = corner;
    moved.points[point].position_vehicle_mm[c] += by_mm;
    return coordinates(at_other_ride_height(moved, travel_mm, 0.0, Kept::link_length));
  };
  constexpr double travel_mm = -12.0, step_mm = 0.01;
  const OtherRideHeight exact = other_ride_height(corner, travel_mm, Kept::link_length);
  for (std::size_t point = 0; point < corner.points.size(); ++point)
    for (Eigen::Index c = 0; c < 3; ++c) {
      const Eigen::VectorXd slope =
          (there(point, c, step_mm, travel_mm) - there(point, c, -step_mm, travel_mm)) / (2.0 * step_mm);
      const auto column = static_cast<Eigen::Index>(3 * point) + c;
      EXPECT_LT((exact.by_coordinate.col(column) - slope).cwiseAbs().maxCoeff(), 1e-6) << point;
    }
  const Eigen::VectorXd by_travel =
      (there(0, 0, 0.0, travel_mm + step_mm) - there(0, 0, 0.0, travel_mm - step_mm)) / (2.0 * step_mm);
  EXPECT_LT((exact.by_travel - by_travel).cwiseAbs().maxCoeff(), 1e-6);
}

TEST(StandingAsRecorded, RightCornersAreTheMirrorOfLeftOnes) {
  const HardpointSet truth = with_covariance(with_tags(strut_set()));
  const HardpointSet left = standing_off(truth, 6.0, 1.0);
  const StandingSet a = standing_as_recorded(left), b = standing_as_recorded(mirrored(left));
  const HardpointSet back = mirrored(b.hardpoints);
  EXPECT_LT((back.body_tags.covariance_mm2 - a.hardpoints.body_tags.covariance_mm2).norm(), 1e-9);
  EXPECT_LT((back.covariance_mm2 - a.hardpoints.covariance_mm2).norm(), 1e-9);
  EXPECT_NEAR(back.body_tags.centres_vehicle_mm[0].z(), a.hardpoints.body_tags.centres_vehicle_mm[0].z(),
              1e-12);
  EXPECT_FALSE(a.words.empty());
}

}  // namespace
}  // namespace pivotfix
