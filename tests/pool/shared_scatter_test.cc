// SPDX-License-Identifier: Apache-2.0
#include "pool/shared_scatter.h"

#include <gtest/gtest.h>

#include <cmath>

#include "compare/made_up_measurements.h"

namespace pivotfix {
namespace {

using Eigen::VectorXd;

double chi_square_draw(Workbench& bench, int freedom) {
  double sum = 0.0;
  for (int i = 0; i < freedom; ++i) sum += std::pow(bench.normal(), 2);
  return sum;
}

VectorXd alike(double freedom) {
  return VectorXd::Constant(8, freedom);
}

// Variances from a known prior, 10 degrees of freedom about 2 mm^2: Bayes' rule with that prior is the
// oracle. Every third pivot has fewer degrees of freedom, as on a line.
TEST(ShareScatter, IsBayesRuleWithAPriorThatItLearnsFromThePivots) {
  Workbench bench(7);
  const int prior = 10;
  VectorXd own(6000), by_bayes(6000), freedoms(6000);
  for (Eigen::Index p = 0; p < own.size(); ++p) {
    const int freedom = p % 3 == 0 ? 12 : 18;
    freedoms[p] = freedom;
    const double variance = 2.0 * prior / chi_square_draw(bench, prior);
    own[p] = variance * chi_square_draw(bench, freedom) / freedom;
    by_bayes[p] = (prior * 2.0 + freedom * own[p]) / (prior + freedom);
  }
  const double measuring = 0.5;
  const SharedScatter shared = share_scatter(own - VectorXd::Constant(own.size(), measuring),
                                             VectorXd::Constant(own.size(), measuring), freedoms);
  for (const Eigen::Index p : {0, 1}) EXPECT_NEAR(shared.freedom[p], prior + freedoms[p], 1.5);
  const VectorXd found = shared.scatter_mm2 + VectorXd::Constant(own.size(), measuring);
  EXPECT_LT((found.array() / by_bayes.array() - 1.0).abs().mean(), 0.03);
}

// Variance of each estimate: 2 / 18. Drawn towards eight alike it must fall well below half of that.
TEST(ShareScatter, IsNearerTheTruthWherePivotsAreAlike) {
  Workbench bench(8);
  double own_squares = 0.0, shared_squares = 0.0;
  const int pools = 500;
  for (int i = 0; i < pools; ++i) {
    VectorXd own(8);
    for (double& variance : own) variance = chi_square_draw(bench, 18) / 18.0;
    own_squares += (own.array() - 1.0).square().sum();
    shared_squares +=
        (share_scatter(own, VectorXd::Zero(8), alike(18)).scatter_mm2.array() - 1.0).square().sum();
  }
  EXPECT_NEAR(own_squares / (8 * pools), 2.0 / 18.0, 0.01);
  EXPECT_LT(shared_squares, 0.4 * own_squares);
}

TEST(ShareScatter, LeavesAPivotThatDiffersTenTimesAsMuchAlmostAsItIs) {
  VectorXd own = VectorXd::Constant(8, 0.1);
  own[3] = 10.0;
  const SharedScatter shared = share_scatter(own, VectorXd::Zero(8), alike(18));
  EXPECT_NEAR(shared.scatter_mm2[3], 10.0, 1.0);
  EXPECT_NEAR(shared.scatter_mm2[0], 0.1, 0.02);
  EXPECT_LT(shared.freedom.maxCoeff(), 21.0);
}

// Cars alike, pivots measured unlike: that is no difference between cars.
TEST(ShareScatter, DoesNotTakeUnlikeMeasuringForUnlikeCars) {
  VectorXd measuring(8);
  measuring << 0.1, 0.4, 0.1, 0.4, 0.1, 0.4, 0.1, 0.4;
  EXPECT_GT(share_scatter(VectorXd::Zero(8), measuring, alike(18)).freedom.minCoeff(), 1000.0);
}

}  // namespace
}  // namespace pivotfix
