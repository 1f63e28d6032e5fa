// SPDX-License-Identifier: Apache-2.0
// A corner lowered or raised stays the same corner. All corners are invented.
#include <gtest/gtest.h>

#include "base/problem.h"
#include "example_corners.h"

namespace pivotfix {
namespace {

double length(const Corner& corner, std::size_t a, std::size_t b) {
  return (corner.points[a].position_vehicle_mm - corner.points[b].position_vehicle_mm).norm();
}

TEST(OtherRideHeight, GivesTheSameCurveShiftedWhereLinkAndArmAgree) {
  // A parallelogram corner keeps its toe, so nothing is set back and the curve is the same one further on.
  Parallelogram exact;
  exact.outer_high_mm = 0.0;
  const Corner lowered = at_other_ride_height(make_corner(exact.set()), 30.0);
  EXPECT_NEAR(solved_at(lowered, 20.0).toe_rad, 0.0, 1e-12);
  EXPECT_NEAR(lowered.points[2].position_vehicle_mm.z(), 200.0, 1e-9) << "the wheel stays on the ground";
  EXPECT_NEAR(lowered.points[0].position_vehicle_mm.z(), 170.0, 1e-9) << "the body comes down";
}

TEST(OtherRideHeight, KeepsArmsToeAndTheOtherLengths) {
  for (const Layout layout : {Layout::strut, Layout::double_wishbone})
    for (const double travel_mm : {-40.0, -7.0, 30.0}) {
      const Corner corner = make_corner(example_set(layout));
      const Corner moved = at_other_ride_height(corner, travel_mm);
      EXPECT_NEAR(length(moved, 0, 2), length(corner, 0, 2), 1e-8);
      EXPECT_NEAR(length(moved, 1, 2), length(corner, 1, 2), 1e-8);
      EXPECT_EQ(moved.wheel.toe_rad, corner.wheel.toe_rad);
      // Toe and camber about the new ride height start from zero change; with the old link the knuckle would
      // have turned by the old curve's toe, so the link's length differs by about that.
      const CornerState then = solved_at(corner, travel_mm);
      EXPECT_NEAR(moved.wheel.camber_rad, then.camber_rad, 2e-3);
      EXPECT_NEAR(solved_at(moved, 0.0).toe_rad, corner.wheel.toe_rad, 1e-14);
    }
}

// Oracle: the whole curve, which does not know where ride height is.
TEST(OtherRideHeight, IsTheSameCurveFurtherOnWhereTheLinkIsKept) {
  for (const Layout layout : {Layout::strut, Layout::double_wishbone})
    for (const double travel_mm : {-12.0, 5.0}) {
      const Corner corner = make_corner(example_set(layout));
      const CornerState then = solved_at(corner, travel_mm);
      Corner moved = at_other_ride_height(corner, travel_mm, 0.0, Kept::link_length);
      EXPECT_NEAR(moved.wheel.camber_rad, then.camber_rad, 1e-12);
      moved.wheel.toe_rad = then.toe_rad;
      for (const double further_mm : {-30.0, 20.0}) {
        const CornerState there = solved_at(corner, travel_mm + further_mm);
        EXPECT_NEAR(solved_at(moved, further_mm).toe_rad, there.toe_rad, 1e-11);
        EXPECT_NEAR(solved_at(moved, further_mm).camber_rad, there.camber_rad, 1e-11);
      }
    }
}

TEST(OtherRideHeight, ThereAndBackIsTheSameCorner) {
  for (const Layout layout : {Layout::strut, Layout::double_wishbone}) {
    HardpointSet set = example_set(layout);
    const Eigen::Index n = static_cast<Eigen::Index>(3 * set.points.size());
    Eigen::MatrixXd root = Eigen::MatrixXd::Identity(n, n);
    for (Eigen::Index i = 1; i < n; ++i) root(i, i - 1) = 0.5;
    set.covariance_mm2 = 0.04 * root * root.transpose();
    const Corner corner = make_corner(set);
    const Corner back = at_other_ride_height(at_other_ride_height(corner, 35.0), -35.0);
    for (std::size_t i = 0; i < corner.points.size(); ++i)
      EXPECT_LT((back.points[i].position_vehicle_mm - corner.points[i].position_vehicle_mm).norm(), 1e-7);
    EXPECT_NEAR(back.wheel.camber_rad, corner.wheel.camber_rad, 1e-10);
    // Camber down there depends on the points a little, and on the way back it counts as known.
    EXPECT_LT((back.covariance_mm2 - corner.covariance_mm2).cwiseAbs().maxCoeff(), 1e-4);
  }
}

TEST(OtherRideHeight, CarriesTheCovarianceAsCentralDifferencesSay) {
  for (const Layout layout : {Layout::strut, Layout::double_wishbone}) {
    Corner corner = make_corner(example_set(layout));
    const Eigen::Index n = static_cast<Eigen::Index>(3 * corner.points.size());
    const auto moved_points = [&](Eigen::Index coordinate, double by) {
      Corner other = corner;
      other.points[static_cast<std::size_t>(coordinate / 3)].position_vehicle_mm[coordinate % 3] += by;
      const Corner moved = at_other_ride_height(other, 30.0);
      Eigen::VectorXd all(n);
      for (std::size_t i = 0; i < moved.points.size(); ++i)
        all.segment<3>(static_cast<Eigen::Index>(3 * i)) = moved.points[i].position_vehicle_mm;
      return all;
    };
    for (Eigen::Index c = 0; c < n; ++c) {
      // One coordinate uncertain alone: the covariance is the outer product of its column.
      corner.covariance_mm2 = Eigen::MatrixXd::Zero(n, n);
      corner.covariance_mm2(c, c) = 1.0;
      const Eigen::MatrixXd carried = at_other_ride_height(corner, 30.0).covariance_mm2;
      const Eigen::VectorXd column = (moved_points(c, 0.01) - moved_points(c, -0.01)) / 0.02;
      EXPECT_LT((carried - column * column.transpose()).cwiseAbs().maxCoeff(), 2e-6) << "coordinate " << c;
    }
  }
}

TEST(OtherRideHeight, RefusesWhereTheArmsLock) {
  Parallelogram small;
  small.arm_mm = 80.0;
  small.link_across_mm = 80.0;
  EXPECT_THROW(at_other_ride_height(make_corner(small.set()), 120.0), Problem);
}

TEST(OtherRideHeight, CarriesTheTravelsUncertaintyAsDifferencesSay) {
  constexpr double travel_mm = -12.0, sigma_mm = 0.7, step_mm = 0.01;
  for (const Layout layout : {Layout::strut, Layout::double_wishbone, Layout::five_link}) {
    HardpointSet set = example_set(layout);
    const Eigen::Index n = static_cast<Eigen::Index>(3 * set.points.size());
    set.covariance_mm2 = Eigen::MatrixXd::Zero(n, n);
    const Corner corner = make_corner(set);
    const Corner further = at_other_ride_height(corner, travel_mm + step_mm);
    const Corner less = at_other_ride_height(corner, travel_mm - step_mm);
    Eigen::VectorXd by_travel(n);
    for (std::size_t i = 0; i < set.points.size(); ++i)
      by_travel.segment<3>(static_cast<Eigen::Index>(3 * i)) =
          (further.points[i].position_vehicle_mm - less.points[i].position_vehicle_mm) / (2.0 * step_mm);
    const Eigen::MatrixXd expected = sigma_mm * sigma_mm * by_travel * by_travel.transpose();
    const Eigen::MatrixXd carried = at_other_ride_height(corner, travel_mm, sigma_mm).covariance_mm2;
    EXPECT_LT((carried - expected).cwiseAbs().maxCoeff(), 1e-7);
    EXPECT_GT(carried.cwiseAbs().maxCoeff(), 0.1);
  }
}

}  // namespace
}  // namespace pivotfix
