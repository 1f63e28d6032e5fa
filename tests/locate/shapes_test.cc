// SPDX-License-Identifier: Apache-2.0
// Rings, tubes and planes against made-up truth.
#include "locate/shapes.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "locate/refusals.h"
#include "locate/tried.h"

namespace pivotfix {
namespace {

using Eigen::MatrixXd;
using Eigen::Vector3d;

// Points whose three coordinates are the inputs, moved by noise of this standard deviation.
struct MadeUpPoints {
  std::vector<Traced> points{};
  MatrixXd covariance{};
};
MadeUpPoints made_up(const std::vector<Vector3d>& places, double sigma_mm, unsigned seed) {
  std::mt19937 random(seed);
  std::normal_distribution<double> normal;
  MadeUpPoints made;
  const auto inputs = static_cast<Eigen::Index>(3 * places.size());
  for (std::size_t i = 0; i < places.size(); ++i) {
    Traced point{places[i], MatrixXd::Zero(3, inputs)};
    for (int k = 0; k < 3; ++k) point.value[k] += sigma_mm * normal(random);
    point.by_inputs.block<3, 3>(0, static_cast<Eigen::Index>(3 * i)).setIdentity();
    made.points.push_back(point);
  }
  made.covariance = MatrixXd::Identity(inputs, inputs) * std::max(1e-12, sigma_mm * sigma_mm);
  return made;
}

const Vector3d ring_centre(120, 640, 250);
const Vector3d ring_axis = Vector3d(0.1, 1.0, -0.05).normalized();

std::vector<Vector3d> ring_places(const std::vector<double>& angles) {
  const Vector3d first = ring_axis.cross(Vector3d::UnitZ()).normalized(), second = ring_axis.cross(first);
  std::vector<Vector3d> places;
  for (const double angle : angles)
    places.push_back(ring_centre + 45.0 * (std::cos(angle) * first + std::sin(angle) * second));
  return places;
}

TEST(RingThrough, FindsCentreAxisAndRadiusOfExactTags) {
  for (const auto& angles :
       {std::vector<double>{0.2, 1.9, 4.4}, std::vector<double>{0.0, 1.0, 2.0, 3.5, 5.0}}) {
    const MadeUpPoints made = made_up(ring_places(angles), 0.0, 1);
    const Ring ring = ring_through(made.points, Vector3d::UnitY(), made.covariance, "a joint");
    EXPECT_LT((ring.centre.value - ring_centre).norm(), 1e-6);
    EXPECT_LT((ring.direction.value - ring_axis).norm(), 1e-9);
    EXPECT_NEAR(ring.radius_mm, 45.0, 1e-6);
    EXPECT_EQ(ring.check.freedom, 2 * static_cast<int>(angles.size()) - 6);
  }
}

TEST(RingThrough, StatesItsUncertainty) {
  double sum = 0.0;
  constexpr unsigned runs = 400;
  for (unsigned seed = 1; seed <= runs; ++seed) {
    const MadeUpPoints made = made_up(ring_places({0.0, 1.1, 2.6, 4.4}), 0.05, seed);
    const Ring ring = ring_through(made.points, Vector3d::UnitY(), made.covariance, "a joint");
    sum += normalised_square(ring.centre.value - ring_centre, ring.centre, made.covariance);
  }
  EXPECT_GT(sum / runs, 0.8);
  EXPECT_LT(sum / runs, 1.25);
}

// Stuck on by eye: each tag somewhere else by this, in every axis by itself.
std::vector<Vector3d> stuck_by_eye(std::vector<Vector3d> places, double sigma_mm, unsigned seed) {
  std::mt19937 random(1000 + seed);
  std::normal_distribution<double> normal(0.0, sigma_mm);
  for (Vector3d& place : places)
    for (int k = 0; k < 3; ++k) place[k] += normal(random);
  return places;
}

TEST(RingThrough, StatesWhatTagsStuckOnByEyeDo) {
  constexpr double behind_mm = 40.0;
  for (const auto& angles :
       {std::vector<double>{0.0, 1.5, 3.1, 4.6}, std::vector<double>{0, 1, 2, 3, 4, 5}}) {
    Tried tried;
    for (unsigned seed = 1; seed <= 400; ++seed) {
      const MadeUpPoints made = made_up(stuck_by_eye(ring_places(angles), 1.0, seed), 0.05, seed);
      const Ring ring = ring_through(made.points, Vector3d::UnitY(), made.covariance, "a joint");
      add_try(ring.centre, ring.direction, ring.scatter, behind_mm, ring_centre - behind_mm * ring_axis,
              made.covariance, tried);
    }
    EXPECT_NEAR(tried.stated_mm2 / tried.missed_mm2, 1.0, 0.2) << angles.size();
    EXPECT_LT(tried.by_noise_mm2, 0.02 * tried.missed_mm2) << "the photos' noise is not what counts";
  }
}

TEST(RingThrough, TakesNoScatterFromTagsThatLieOnTheirCircle) {
  int scattered = 0;
  for (unsigned seed = 1; seed <= 400; ++seed) {
    const MadeUpPoints made = made_up(ring_places({0.0, 1.1, 2.6, 4.4}), 0.05, seed);
    scattered +=
        ring_through(made.points, Vector3d::UnitY(), made.covariance, "a joint").check.scatter_mm > 0.0;
  }
  EXPECT_LE(scattered, 3);
}

TEST(LineThrough, StatesWhatTagsStuckOnByEyeDo) {
  const Vector3d low(10, 650, 430), along = Vector3d(-0.05, -0.15, 1.0).normalized();
  constexpr double beyond_mm = 300.0;  // the strut's top
  Tried tried;
  for (unsigned seed = 1; seed <= 400; ++seed) {
    const MadeUpPoints made = made_up(
        stuck_by_eye({low, low + 70 * along, low + 140 * along, low + 180 * along}, 0.7, seed), 0.05, seed);
    const TubeLine line = line_through(made.points, made.covariance, "the strut");
    const double back_mm = along.dot(line.low.value - low);  // its place along the line is its own
    add_try(line.low, line.direction, line.scatter, -beyond_mm, low + (back_mm + beyond_mm) * along,
            made.covariance, tried);
  }
  EXPECT_NEAR(tried.stated_mm2 / tried.missed_mm2, 1.0, 0.2);
  EXPECT_LT(tried.by_noise_mm2, 0.02 * tried.missed_mm2);
}

TEST(LineThrough, FindsTheAxisOfExactTags) {
  const Vector3d low(10, 650, 430), along = Vector3d(-0.05, -0.15, 1.0).normalized();
  const MadeUpPoints made = made_up({low, low + 70 * along, low + 180 * along}, 0.0, 1);
  const TubeLine line = line_through(made.points, made.covariance, "the strut");
  EXPECT_LT((line.low.value - low).norm(), 1e-6);
  EXPECT_LT((line.direction.value - along).norm(), 1e-9);
  EXPECT_EQ(line.check.freedom, 2);
}

TEST(LineThrough, StatesItsUncertainty) {
  const Vector3d low(10, 650, 430), along = Vector3d(-0.05, -0.15, 1.0).normalized();
  double sum = 0.0;
  constexpr unsigned runs = 400;
  for (unsigned seed = 1; seed <= runs; ++seed) {
    const MadeUpPoints made = made_up({low, low + 70 * along, low + 180 * along}, 0.05, seed);
    const TubeLine line = line_through(made.points, made.covariance, "the strut");
    sum += normalised_square(line.low.value - low, line.low, made.covariance);
  }
  EXPECT_GT(sum / runs, 0.8);
  EXPECT_LT(sum / runs, 1.25);
}

TEST(PlaneThrough, TurnsWithItsPointsAsItSays) {
  const MadeUpPoints made = made_up(ring_places({0.0, 1.1, 2.6, 4.4}), 0.0, 1);
  const Traced normal = plane_through(made.points, Vector3d::UnitY(), "a face");
  EXPECT_LT((normal.value - ring_axis).norm(), 1e-9);
  constexpr double step = 1e-3;
  for (int input = 0; input < 12; ++input) {
    std::vector<Traced> moved = made.points;
    moved[input / 3].value[input % 3] += step;
    const Vector3d by = (plane_through(moved, Vector3d::UnitY(), "a face").value - normal.value) / step;
    EXPECT_LT((by - normal.by_inputs.col(input)).norm(), 1e-5) << input;
  }
}

TEST(Shapes, RefuseWhatCannotWork) {
  const MadeUpPoints two = made_up(ring_places({0.0, 1.1}), 0.0, 1);
  expect_refusal([&] { ring_through(two.points, Vector3d::UnitY(), two.covariance, "the rod end"); },
                 "The ring for the rod end has 2 tags; three make a circle.");
  const MadeUpPoints row = made_up({{0, 0, 0}, {40, 0, 0}, {80, 1, 0}}, 0.0, 1);
  expect_refusal([&] { ring_through(row.points, Vector3d::UnitZ(), row.covariance, "the rod end"); },
                 "The ring's tags for the rod end lie almost in one line.");
  const MadeUpPoints near = made_up({{0, 0, 0}, {0, 0, 45}}, 0.0, 1);
  expect_refusal([&] { line_through(near.points, near.covariance, "strut_axis_low"); },
                 "The tags for strut_axis_low are only 45 mm apart along it; 60 mm are needed.");
}

}  // namespace
}  // namespace pivotfix
