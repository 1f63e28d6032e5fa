// SPDX-License-Identifier: Apache-2.0
// Rigid transforms between named frames. Reading rule: `a_from_b` takes coordinates in b to coordinates
// in a, and neighbours match in a product: a_from_c = a_from_b * b_from_c.
#pragma once

#include <Eigen/Geometry>

namespace pivotfix {

struct RigidTransform {
  Eigen::Quaterniond rotation = Eigen::Quaterniond::Identity();
  Eigen::Vector3d translation_mm = Eigen::Vector3d::Zero();

  Eigen::Vector3d operator*(const Eigen::Vector3d& point_mm) const {
    return rotation * point_mm + translation_mm;
  }
  RigidTransform operator*(const RigidTransform& right) const {
    return {(rotation * right.rotation).normalized(), rotation * right.translation_mm + translation_mm};
  }
  RigidTransform inverse() const {
    const Eigen::Quaterniond back = rotation.conjugate();
    return {back, -(back * translation_mm)};
  }
};

// v x w = cross_matrix(v) w.
inline Eigen::Matrix3d cross_matrix(const Eigen::Vector3d& v) {
  Eigen::Matrix3d matrix;
  matrix << 0.0, -v.z(), v.y(), v.z(), 0.0, -v.x(), -v.y(), v.x(), 0.0;
  return matrix;
}

// The rotation about the vector's direction by its length.
inline Eigen::Quaterniond turn_by(const Eigen::Vector3d& turn_rad) {
  const double angle_rad = turn_rad.norm();
  if (!(angle_rad > 0.0)) return Eigen::Quaterniond::Identity();
  return Eigen::Quaterniond(Eigen::AngleAxisd(angle_rad, turn_rad / angle_rad));
}

// The rotation, turned from the left; with no turn, untouched to the last bit.
inline Eigen::Quaterniond turned_by(const Eigen::Vector3d& turn_rad, const Eigen::Quaterniond& rotation) {
  return turn_rad.norm() > 0.0 ? (turn_by(turn_rad) * rotation).normalized() : rotation;
}

}  // namespace pivotfix
