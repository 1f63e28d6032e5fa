// SPDX-License-Identifier: Apache-2.0
// Which of several cars is odd. Private to the pool stage and its tests.
#pragma once

#include <Eigen/Core>
#include <vector>

namespace pivotfix {

// Coordinates of one car, x y z of each pivot, with the covariance of their measurement.
struct CarPoints {
  Eigen::VectorXd coordinates_mm{};
  Eigen::MatrixXd covariance_mm2{};
};

struct CarOddness {
  double probability = 1.0;  // of a car this odd among as many like cars
  Eigen::Index pivot = 0;    // that is off most
  Eigen::Vector3d off_mm = Eigen::Vector3d::Zero();
};

// Each car against the random-effects mean of the others (deleted residuals: Viechtbauer and Cheung, "Outlier
// and Influence Diagnostics for Meta-Analysis", Research Synthesis Methods 1, 2010), by its worst pivot and
// by all of them together, the scatter estimated without that car. tau^2 may come out negative here, so that
// the figures hardly depend on its true size. Chances come from drawing pools of like cars with a fixed seed
// and this scatter of each pivot (zero where cars are not known to differ: scatter that is only estimated
// from noise would hide that they share the errors of their axes), and count that every car and pivot is
// looked at, both ways (Westfall and Young, "Resampling-Based Multiple Testing", 1993: smallest P). Needs
// four cars or more.
std::vector<CarOddness> judge_oddness(const std::vector<CarPoints>& cars, const Eigen::VectorXd& scatter_mm2);

// Moments estimate of tau^2 for each pivot, not cut off at zero. `coordinates` and `variances` have a row for
// each car.
Eigen::VectorXd scatter_estimate(const Eigen::MatrixXd& coordinates_mm, const Eigen::MatrixXd& variances_mm2);

}  // namespace pivotfix
