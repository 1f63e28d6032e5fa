// SPDX-License-Identifier: Apache-2.0
// The program's adjustment against Ceres: the same minimum and the same covariance. The oracle has its own
// projection and automatic derivatives.
#include <gtest/gtest.h>

#include "network/ceres_adjustment.h"
#include "network/network_builder.h"
#include "network/photo_shifts.h"
#include "simulated_photos.h"

namespace pivotfix {
namespace {

// As adjust_network leaves it before its first round, with strips and freely moving lenses.
Bundle started_bundle() {
  simulation::Wishes wishes;
  wishes.photos = 8;
  wishes.tags = 9;
  wishes.principal_shift_px = 3.0;
  wishes.focal_change = 1e-3;
  const simulation::Photographed photographed = simulation::photograph(wishes);
  StartedBundle started = start_bundle(photographed.input);
  started.bundle.shift_sigma = first_shift_sigma;
  weigh_observations(started, 2.0);
  for (const ScaleBar& bar : photographed.input.scale_bars)
    started.bundle.distances.push_back(
        {target_of(started, {bar.from_tag, {}}), target_of(started, {bar.to_tag, {}}), bar.length_mm, 0.02});
  return started.bundle;
}

double largest_difference_in_sigmas(const Bundle& ours, const Bundle& theirs, const Eigen::MatrixXd& joint) {
  double largest = 0.0;
  for (std::size_t i = 0; i < ours.targets.size(); ++i)
    for (int k = 0; k < 3; ++k) {
      const auto at = static_cast<Eigen::Index>(6 * i) + k;
      const double apart = ours.targets[i].network_from_target.translation_mm[k] -
                           theirs.targets[i].network_from_target.translation_mm[k];
      if (joint(at, at) > 0.0) largest = std::max(largest, std::abs(apart) / std::sqrt(joint(at, at)));
    }
  const Eigen::Index lens = joint.rows() - lens_parameter_count;
  for (int k = 0; k < lens_parameter_count; ++k)
    if (joint(lens + k, lens + k) > 0.0)
      largest = std::max(largest, std::abs(ours.lenses[0].lens.values[k] - theirs.lenses[0].lens.values[k]) /
                                      std::sqrt(joint(lens + k, lens + k)));
  return largest;
}

TEST(AdjustAgainstCeres, FindsTheSameMinimumAndCovariance) {
  const Bundle start = started_bundle();
  Bundle ours = start;
  const BundleSummary summary = adjust(ours, {});
  const oracle::CeresSolution theirs = oracle::solve_with_ceres(start, 0.0);
  EXPECT_TRUE(summary.converged);
  EXPECT_NEAR(summary.cost, theirs.cost, 1e-8 * theirs.cost);
  const BundleCovariance found = covariance(ours);
  EXPECT_NEAR(0.5 * found.weighted_square_sum, theirs.cost, 1e-8 * theirs.cost);
  ASSERT_EQ(found.joint.rows(), theirs.joint.rows());
  EXPECT_LT(largest_difference_in_sigmas(ours, theirs.bundle, theirs.joint), 1e-4);
  for (Eigen::Index a = 0; a < found.joint.rows(); ++a)
    for (Eigen::Index b = 0; b <= a; ++b)
      EXPECT_NEAR(found.joint(a, b), theirs.joint(a, b),
                  1e-5 * std::sqrt(theirs.joint(a, a) * theirs.joint(b, b)))
          << a << ", " << b;
}

TEST(AdjustAgainstCeres, FindsTheSameMinimumOfTheRobustLoss) {
  Bundle start = started_bundle();
  for (std::size_t i = 0; i < start.observations.size(); i += 9)
    for (Eigen::Vector2d& point : start.observations[i].points_px) point.x() += 6.0;
  Bundle ours = start;
  const BundleSummary summary =
      adjust(ours, {.robust_scale = 3.0, .most_iterations = 200, .smallest_gain = 1e-12});
  const oracle::CeresSolution theirs = oracle::solve_with_ceres(start, 3.0);
  EXPECT_TRUE(summary.converged);
  EXPECT_NEAR(summary.cost, theirs.cost, 1e-6 * theirs.cost);
}

// Degrees of freedom are shared out: redundancies sum to residuals less unknowns, expectations counted in.
TEST(AdjustAgainstCeres, SharesTheDegreesOfFreedomOut) {
  Bundle bundle = started_bundle();
  bundle.distances.clear();
  for (BundleLens& lens : bundle.lenses) lens.expected_sigma = {};
  bundle.shift_sigma = {};
  adjust(bundle, {});
  const BundleCovariance found = covariance(bundle);
  double sum = 0.0;
  for (const double redundancy : found.observation_redundancy) sum += redundancy;
  // The expected size is the one residual that is no observation, and takes the one that scale needs.
  EXPECT_NEAR(sum, found.residuals - found.unknowns, 1e-6 * sum);
}

}  // namespace
}  // namespace pivotfix
