// SPDX-License-Identifier: Apache-2.0
// The adjustment's problem put to Ceres: projection by its own lines, derivatives by automatic
// differentiation, covariance by Ceres. An oracle for the program's own adjustment.
#pragma once

#include "bundle/bundle.h"

namespace pivotfix::oracle {

struct CeresSolution {
  Bundle bundle{};
  double cost = 0.0;
  // In the order and units of BundleCovariance::joint: targets, sizes, lenses.
  Eigen::MatrixXd joint{};
};

// From `start` to the minimum; `robust_scale` as in BundleOptions. The covariance is that of a plain (not
// robust) problem.
CeresSolution solve_with_ceres(const Bundle& start, double robust_scale);

}  // namespace pivotfix::oracle
