// SPDX-License-Identifier: Apache-2.0
// Places found again and again against the truth: do they miss by as much as is stated?
#pragma once

#include <Eigen/Cholesky>

#include "locate/shapes.h"

namespace pivotfix {

// Of an error, by what is stated of it: one on average.
inline double normalised_square(const Eigen::Vector3d& error, const Traced& found,
                                const Eigen::MatrixXd& covariance) {
  const Eigen::Matrix3d spread = found.by_inputs * covariance * found.by_inputs.transpose();
  return error.dot(spread.ldlt().solve(error)) / 3.0;
}

// Mean squared misses and stated variances of a point behind the shape's own, over many tries; the stated
// ones from the photos' noise alone, and with what the tags scatter.
struct Tried {
  double missed_mm2 = 0.0, by_noise_mm2 = 0.0, stated_mm2 = 0.0;
};
inline void add_try(const Traced& point, const Traced& direction, const ShapeScatter& scatter,
                    double behind_mm, const Eigen::Vector3d& truth, const Eigen::MatrixXd& covariance,
                    Tried& tried) {
  const Traced found = point - behind_mm * direction;
  Eigen::Matrix<double, 3, 6> by_shape;
  by_shape << Eigen::Matrix3d::Identity(), -behind_mm * Eigen::Matrix3d::Identity();
  tried.missed_mm2 += (found.value - truth).squaredNorm();
  const double noise_mm2 = (found.by_inputs * covariance * found.by_inputs.transpose()).trace();
  tried.by_noise_mm2 += noise_mm2;
  tried.stated_mm2 += noise_mm2 + (by_shape * scatter * by_shape.transpose()).trace();
}

}  // namespace pivotfix
