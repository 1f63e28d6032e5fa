// SPDX-License-Identifier: Apache-2.0
// Corners from edge points, and whether they are as uncertain as they say.
#include "network/corners.h"

#include <gtest/gtest.h>

#include <Eigen/LU>
#include <cmath>
#include <random>

#include "network/simulated_photos.h"

namespace pivotfix {
namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;

using Stacked = Eigen::Matrix<double, 8, 1>;

Stacked stacked(const TagCorners& corners) {
  Stacked all;
  for (int k = 0; k < 4; ++k) all.segment<2>(2 * k) = corners[k];
  return all;
}

Lens lens_of(const simulation::Truth& truth) {
  Lens lens;
  lens.values = {truth.focal_px, 1.0, truth.cx, truth.cy, truth.k1, truth.k2, truth.k3, truth.p1, truth.p2};
  return lens;
}

// A tag somewhat aslant, its edge points three pixels apart, each off by `noise_px` across its edge.
Sighting seen_with(int points_per_edge, double noise_px, std::mt19937& random) {
  std::normal_distribution<double> normal;
  const double half_px = 0.5 * 3.0 * points_per_edge / 0.8;
  const TagCorners corner{Vector2d{1200 - half_px, 900 + 0.9 * half_px},
                          {1200 + half_px, 900 + half_px},
                          {1200 + 0.95 * half_px, 900 - half_px},
                          {1200 - 0.9 * half_px, 900 - 0.95 * half_px}};
  Sighting sighting;
  sighting.centre_px = {1200, 900};
  sighting.corner_px = corner;
  for (int edge = 0; edge < 4; ++edge) {
    const Vector2d out = corner[(edge + 1) % 4] - corner[edge];
    const Vector2d across = Vector2d(-out.y(), out.x()).normalized();
    for (int i = 0; i < points_per_edge; ++i)
      sighting.edge_points[edge].push_back({corner[edge] + (0.1 + 0.8 * i / (points_per_edge - 1.0)) * out +
                                            noise_px * normal(random) * across});
  }
  return sighting;
}

// Oracle: how much the centre scatters from one throw of the dice to the next.
TEST(MeasuredCorners, StateTheirCentresScatterHoweverFewPointsAnEdgeHas) {
  simulation::Truth truth;
  truth.k1 = truth.k2 = truth.k3 = truth.p1 = truth.p2 = 0.0;
  const Lens lens = lens_of(truth);
  constexpr double noise_px = 0.12;
  constexpr int throws = 1500;
  Eigen::Matrix<double, 2, 8> centre_of;
  for (int k = 0; k < 4; ++k) centre_of.middleCols<2>(2 * k) = 0.25 * Eigen::Matrix2d::Identity();
  for (const int points : {8, 10, 12, 15, 20, 40}) {
    std::mt19937 random(7);
    const auto exact = measure_corners(seen_with(points, 0.0, random), lens, {});
    ASSERT_TRUE(exact);
    double actual = 0.0, stated = 0.0;
    for (int i = 0; i < throws; ++i) {
      const auto measured = measure_corners(seen_with(points, noise_px, random), lens, {});
      ASSERT_TRUE(measured);
      actual += (centre_of * (stacked(measured->corner_px) - stacked(exact->corner_px))).squaredNorm();
      stated += (centre_of * measured->covariance_px2 * centre_of.transpose()).trace();
    }
    EXPECT_GT(actual / stated, 1.0 / 1.5) << points << " points an edge";
    EXPECT_LT(actual / stated, 1.5) << points << " points an edge";
  }
}

// Another tag's paper over a part of the black border draws the line in, and its points bend. Oracle: where
// the centre is when nothing covers it.
TEST(MeasuredCorners, AreAsWideAsTheyMissWhereSomethingCoversPartOfAnEdge) {
  simulation::Truth truth;
  truth.k1 = truth.k2 = truth.k3 = truth.p1 = truth.p2 = 0.0;
  const Lens lens = lens_of(truth);
  constexpr double noise_px = 0.03, covered_px = 2.0;
  Eigen::Matrix<double, 2, 8> centre_of;
  for (int k = 0; k < 4; ++k) centre_of.middleCols<2>(2 * k) = 0.25 * Eigen::Matrix2d::Identity();
  for (const int points : {10, 15, 25})
    for (const double share : {0.25, 0.5, 0.7}) {
      std::mt19937 random(11);
      Sighting sighting = seen_with(points, noise_px, random);
      const auto whole = measure_corners(sighting, lens, {});
      const TagCorners& corner = sighting.corner_px;
      const Vector2d inwards = (0.5 * (corner[3] + corner[0]) - 0.5 * (corner[1] + corner[2])).normalized();
      for (int i = 0; i < share * points; ++i) sighting.edge_points[1][i].point_px += covered_px * inwards;
      const auto covered = measure_corners(sighting, lens, {});
      ASSERT_TRUE(whole && covered);
      const Vector2d miss = centre_of * (stacked(covered->corner_px) - stacked(whole->corner_px));
      const Eigen::Matrix2d stated = centre_of * covered->covariance_px2 * centre_of.transpose();
      EXPECT_GT(miss.norm(), 0.1);
      EXPECT_LT(miss.dot(stated.inverse() * miss), 9.0)
          << points << " points an edge, " << share << " covered";
    }
}

// The edges of a tag near the corner of a wide picture, each of their points `outward_px` further out there.
Sighting bent_tag(const simulation::Truth& truth, double outward_px) {
  const auto camera = simulation::look_at(truth, {0, -1000, 0}, {0, 0, 0}, 0.0);
  const std::array<Vector3d, 4> corner{Vector3d{430, 0, 330}, {530, 30, 330}, {530, 30, 430}, {430, 0, 430}};
  Sighting sighting;
  sighting.centre_px = simulation::picture_of(truth, camera, 0.5 * (corner[0] + corner[2]));
  for (int edge = 0; edge < 4; ++edge)
    for (int i = 0; i < 40; ++i) {
      const auto at = [&](double t) {
        return simulation::picture_of(truth, camera, (1 - t) * corner[edge] + t * corner[(edge + 1) % 4]);
      };
      const double t = 0.05 + 0.9 * i / 39.0;
      const Vector2d along = at(t + 1e-4) - at(t - 1e-4);
      Vector2d outwards = Vector2d(-along.y(), along.x()).normalized();
      if (outwards.dot(at(t) - sighting.centre_px) < 0) outwards = -outwards;
      sighting.edge_points[edge].push_back({at(t) + outward_px * outwards});
    }
  return sighting;
}

// Half a pixel outwards of a common move of one pixel (standard deviation) is half a standard deviation, and
// the sharp rest is not touched by it.
TEST(MeasuredCorners, MoveOutwardsInThePictureAsTheirCovarianceSaysAtAWideLensEdge) {
  simulation::Truth truth;
  truth.k1 = -0.22;
  truth.k2 = 0.05;
  truth.k3 = 0.0;
  const Lens lens = lens_of(truth);
  const auto before = measure_corners(bent_tag(truth, 0.0), lens, {});
  const auto after = measure_corners(bent_tag(truth, 0.5), lens, {});
  ASSERT_TRUE(before && after);
  const Stacked moved = stacked(after->corner_px) - stacked(before->corner_px);
  EXPECT_GT(moved.norm(), 0.5);
  EXPECT_NEAR(moved.dot(before->covariance_px2.inverse() * moved), 0.25, 0.05);
}

TEST(MeasuredCorners, MayMoveFurtherOutwardsWhereThePictureIsBlurred) {
  const simulation::Truth truth;
  const Lens lens = lens_of(truth);
  Sighting blurred = bent_tag(truth, 0.0);
  const auto sharp = measure_corners(blurred, lens, {});
  blurred.blur_px = 2.0;
  const auto soft = measure_corners(blurred, lens, {});
  const auto after = measure_corners(bent_tag(truth, 0.5), lens, {});
  ASSERT_TRUE(sharp && soft && after);
  const Stacked moved = stacked(after->corner_px) - stacked(sharp->corner_px);
  const double sharp_square = moved.dot(sharp->covariance_px2.inverse() * moved);
  EXPECT_NEAR(moved.dot(soft->covariance_px2.inverse() * moved), sharp_square / 4.0, 0.02);
}

// What is said to move one edge makes the tag uncertain across that edge, by half of it, and hardly along;
// what is said of all four moves them outwards together, which is unknown anyway.
TEST(MeasuredCorners, AreUncertainAcrossAnEdgeThatSomethingDarkMayHaveMoved) {
  const Lens lens = lens_of({});
  std::mt19937 random(7);
  Sighting sighting = seen_with(20, 0.05, random);
  Eigen::Matrix<double, 2, 8> centre_of;
  for (int k = 0; k < 4; ++k) centre_of.middleCols<2>(2 * k) = 0.25 * Eigen::Matrix2d::Identity();
  const auto centre_variance = [&] {
    const auto measured = measure_corners(sighting, lens, {});
    return Eigen::Matrix2d(centre_of * measured.value().covariance_px2 * centre_of.transpose());
  };
  const Eigen::Matrix2d before = centre_variance();
  sighting.rim_doubt_px = {0.4, 0.4, 0.4, 0.4};
  EXPECT_EQ(centre_variance(), before);
  sighting.rim_doubt_px = {0.0, 0.4, 0.0, 0.0};  // the right edge
  const Eigen::Matrix2d after = centre_variance();
  EXPECT_NEAR(std::sqrt(after(0, 0) - before(0, 0)), 0.2, 0.02);
  EXPECT_LT(std::sqrt(after(1, 1) - before(1, 1)), 0.04);
}

}  // namespace
}  // namespace pivotfix
