// SPDX-License-Identifier: Apache-2.0
#include "compare/touched.h"

#include <Eigen/Cholesky>
#include <algorithm>

namespace pivotfix {

TouchedShifts touched_shifts(const Eigen::VectorXd& shift_mm, const Eigen::MatrixXd& covariance_mm2,
                             const std::vector<TouchedPivot>& touched) {
  using Eigen::Index;
  using Eigen::MatrixXd;
  TouchedShifts result;
  Index unknowns = 0;
  for (const TouchedPivot& one : touched) {
    result.sizes.push_back(one.direction ? 1 : 3);
    unknowns += result.sizes.back();
  }
  MatrixXd by_unknowns = MatrixXd::Zero(shift_mm.size(), unknowns);
  Index at = 0;
  for (std::size_t i = 0; i < touched.size(); at += result.sizes[i], ++i) {
    const auto row = static_cast<Index>(3 * touched[i].pivot);
    if (touched[i].direction)
      by_unknowns.block<3, 1>(row, at) = *touched[i].direction;
    else
      by_unknowns.block<3, 3>(row, at).setIdentity();
  }
  const Eigen::LDLT<MatrixXd> factors(covariance_mm2);
  const MatrixXd weighted = factors.solve(by_unknowns);
  const MatrixXd normal = by_unknowns.transpose() * weighted;
  result.covariance_mm2 = normal.ldlt().solve(MatrixXd::Identity(unknowns, unknowns));
  result.covariance_mm2 = 0.5 * (result.covariance_mm2 + result.covariance_mm2.transpose()).eval();
  result.shift_mm = result.covariance_mm2 * (weighted.transpose() * shift_mm);
  const Eigen::VectorXd rest = shift_mm - by_unknowns * result.shift_mm;
  result.rest_chi_square = std::max(0.0, rest.dot(factors.solve(rest)));
  result.rest_freedom = static_cast<int>(shift_mm.size() - unknowns);
  return result;
}

}  // namespace pivotfix
