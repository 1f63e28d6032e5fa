// SPDX-License-Identifier: Apache-2.0
#include "pool/shared_scatter.h"

#include <algorithm>
#include <cmath>

namespace pivotfix {
namespace {

using Eigen::VectorXd;

constexpr double least_variance_of_logs = 1e-3;  // two thousand degrees of freedom are as good as endless
constexpr double least_share = 0.1;  // of the measuring variance, in what all pivots have in common

}  // namespace

SharedScatter share_scatter(const VectorXd& scatter_mm2, const VectorXd& measuring_mm2,
                            const VectorXd& freedom) {
  const double pivots = static_cast<double>(scatter_mm2.size());
  const VectorXd own = measuring_mm2 + scatter_mm2;
  const VectorXd alike =
      (measuring_mm2.array() + scatter_mm2.mean()).max(least_share * measuring_mm2.array());
  const VectorXd logs = (own.array() / alike.array()).log();
  const double variance = (logs.array() - logs.mean()).square().sum() / (pivots - 1.0);
  const double by_chance = (2.0 / (freedom.array() - 1.0)).mean();
  const double of_pivots = std::max(variance - by_chance, least_variance_of_logs);
  const double prior = 1.0 + 2.0 / of_pivots;
  const VectorXd towards = std::exp((logs.array() + freedom.array().inverse()).mean() - 1.0 / prior) * alike;
  const VectorXd together = freedom.array() + prior;
  return {(prior * towards + freedom.cwiseProduct(own)).cwiseQuotient(together) - measuring_mm2, together};
}

}  // namespace pivotfix
