// SPDX-License-Identifier: Apache-2.0
// A direction with two free parameters. Private to the locate stage.
#pragma once

#include <Eigen/Core>
#include <Eigen/Geometry>
#include <cmath>

namespace pivotfix {

// Two directions across a unit vector.
struct Across {
  Eigen::Vector3d first, second;
};
inline Across across(const Eigen::Vector3d& unit) {
  const Eigen::Vector3d helper = std::abs(unit.x()) < 0.7 ? Eigen::Vector3d(Eigen::Vector3d::UnitX())
                                                          : Eigen::Vector3d(Eigen::Vector3d::UnitY());
  const Eigen::Vector3d first = unit.cross(helper).normalized();
  return {first, unit.cross(first)};
}

// A direction near `unit` and its derivatives by two small numbers.
struct Tilted {
  Eigen::Vector3d unit;
  Eigen::Matrix<double, 3, 2> by_tilt;
};
inline Tilted tilted(const Eigen::Vector3d& unit, const Across& basis, double first, double second) {
  const Eigen::Vector3d long_one = unit + first * basis.first + second * basis.second;
  Tilted result{long_one.normalized(), {}};
  const Eigen::Matrix3d across_it = Eigen::Matrix3d::Identity() - result.unit * result.unit.transpose();
  result.by_tilt.col(0) = across_it * basis.first / long_one.norm();
  result.by_tilt.col(1) = across_it * basis.second / long_one.norm();
  return result;
}

}  // namespace pivotfix
