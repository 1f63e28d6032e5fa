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

}  // namespace pivotfix
