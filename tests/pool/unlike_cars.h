// SPDX-License-Identifier: Apache-2.0
// Six made-up cars, each measured worse than the last, with errors of their axes.
#pragma once

#include <Eigen/Core>
#include <vector>

#include "compare/made_up_measurements.h"

namespace pivotfix {

inline Eigen::MatrixXd drawn(Workbench& bench, const std::vector<Eigen::MatrixXd>& covariances) {
  Eigen::MatrixXd coordinates(covariances.front().rows(), static_cast<Eigen::Index>(covariances.size()));
  for (Eigen::Index car = 0; car < coordinates.cols(); ++car)
    coordinates.col(car) = bench.errors(covariances[static_cast<std::size_t>(car)]);
  return coordinates;
}

struct UnlikeCars {
  static constexpr Eigen::Index size = 24, pivots = 8, cars = 6;
  std::vector<Eigen::MatrixXd> measuring{}, totals{};
  Eigen::VectorXd scatter = Eigen::VectorXd::Zero(pivots);

  // Every second pivot differs by 0.5 mm from car to car.
  UnlikeCars() {
    for (Eigen::Index p = 1; p < pivots; p += 2) scatter[p] = 0.25;
    for (Eigen::Index car = 0; car < cars; ++car) {
      measuring.push_back(
          made_up_covariance(positions_of(strut_set()), 0.2 + 0.05 * static_cast<double>(car), true));
      totals.push_back(measuring.back());
      for (Eigen::Index c = 0; c < size; ++c) totals.back()(c, c) += scatter[c / 3];
    }
  }
};

}  // namespace pivotfix
