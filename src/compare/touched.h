// SPDX-License-Identifier: Apache-2.0
// Shifts of the pivots that were worked on, all others taken as the fixed ground they are measured from.
// Private to the compare stage and its tests.
#pragma once

#include <Eigen/Core>
#include <optional>
#include <vector>

namespace pivotfix {

// A pivot by its place among all; along one direction where that is known.
struct TouchedPivot {
  std::size_t pivot = 0;
  std::optional<Eigen::Vector3d> direction{};  // unit vector
};

struct TouchedShifts {
  Eigen::VectorXd shift_mm{};        // three coordinates, or the one along the direction, of each in turn
  Eigen::MatrixXd covariance_mm2{};  // of these
  std::vector<Eigen::Index> sizes{};
  double rest_chi_square = 0.0;  // of all that these shifts do not explain
  int rest_freedom = 0;          // zero: nothing is left to tell
};

// Generalised least squares (Aitken 1935): all differences of two measurements, `shift_mm`, are errors with
// `covariance_mm2`, which must have full rank, but for the unknown shifts of the pivots touched.
TouchedShifts touched_shifts(const Eigen::VectorXd& shift_mm, const Eigen::MatrixXd& covariance_mm2,
                             const std::vector<TouchedPivot>& touched);

}  // namespace pivotfix
