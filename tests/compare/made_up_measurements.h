// SPDX-License-Identifier: Apache-2.0
// Simulated measurements of a made-up corner with known errors, for tests that count how often a verdict is
// right.
#pragma once

#include <Eigen/Cholesky>
#include <random>
#include <string>

#include "corner/example_corners.h"

namespace pivotfix {

// As a network of photos has them: each point's own error, larger in height, and an error of the axes that
// all share, about the car's length axis, the upright and sideways.
inline Eigen::MatrixXd made_up_covariance(const std::vector<Eigen::Vector3d>& points_mm, double own_sigma_mm,
                                          bool shared_axes) {
  const auto n = static_cast<Eigen::Index>(3 * points_mm.size());
  Eigen::MatrixXd covariance = Eigen::MatrixXd::Zero(n, n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const double sigma_mm = own_sigma_mm * (i % 3 == 2 ? 1.4 : 1.0);
    covariance(i, i) = sigma_mm * sigma_mm;
  }
  if (!shared_axes) return covariance;
  Eigen::MatrixXd by_axes = Eigen::MatrixXd::Zero(n, 3);  // turns of 0.6 and 1 mrad, shift of 0.5 mm
  for (std::size_t i = 0; i < points_mm.size(); ++i) {
    const Eigen::Vector3d& at = points_mm[i];
    const auto row = static_cast<Eigen::Index>(3 * i);
    by_axes.block<3, 1>(row, 0) = 6e-4 * Eigen::Vector3d(0.0, -at.z(), at.y());
    by_axes.block<3, 1>(row, 1) = 1e-3 * Eigen::Vector3d(-at.y(), at.x(), 0.0);
    by_axes(row + 1, 2) = 0.5;
  }
  return covariance + by_axes * by_axes.transpose();
}

inline std::vector<Eigen::Vector3d> positions_of(const HardpointSet& set) {
  std::vector<Eigen::Vector3d> positions;
  for (const Hardpoint& point : set.points) positions.push_back(point.position_vehicle_mm);
  return positions;
}

// How often something happened.
struct Share {
  int times = 0;
  int of = 0;
  double percent() const { return 100.0 * times / of; }
};

class Workbench {
 public:
  explicit Workbench(unsigned seed) : random_(seed) {}

  double normal() { return normal_(random_); }
  Eigen::Vector3d direction() {
    const double z = normal(), y = normal(), x = normal();
    return Eigen::Vector3d(x, y, z).normalized();
  }

  // Errors drawn with this covariance.
  Eigen::VectorXd errors(const Eigen::MatrixXd& covariance) {
    Eigen::VectorXd standard(covariance.rows());
    for (double& value : standard) value = normal();
    return covariance.llt().matrixL() * standard;
  }

  // The truth as one measurement has it.
  HardpointSet measured(const HardpointSet& truth, const Eigen::MatrixXd& covariance) {
    HardpointSet set = truth;
    const Eigen::VectorXd errors_mm = errors(covariance);
    for (std::size_t i = 0; i < set.points.size(); ++i)
      set.points[i].position_vehicle_mm += errors_mm.segment<3>(static_cast<Eigen::Index>(3 * i));
    set.covariance_mm2 = covariance.topLeftCorner(3 * set.points.size(), 3 * set.points.size());
    for (std::size_t i = 0; i < set.body_tags.numbers.size(); ++i)
      set.body_tags.centres_vehicle_mm[i] +=
          errors_mm.segment<3>(static_cast<Eigen::Index>(3 * (set.points.size() + i)));
    if (!set.body_tags.numbers.empty())
      set.body_tags.covariance_mm2 = covariance.bottomRows(3 * set.body_tags.numbers.size());
    return set;
  }

 private:
  std::mt19937 random_;
  std::normal_distribution<double> normal_{0.0, 1.0};
};

}  // namespace pivotfix
