// SPDX-License-Identifier: Apache-2.0
// Vectors and poses that carry their derivatives with respect to the same inputs: six per tag (translation in
// mm, then a small turn in rad from the left, both in network axes, as in Network::tag_covariance), then the
// user's own figures. With the inputs' covariance C, that of any such quantity is J C J' (JCGM
// 100:2008, 5.2). Private to the locate stage and its tests.
#pragma once

#include <Eigen/Core>
#include <Eigen/Geometry>

#include "base/rigid_transform.h"

namespace pivotfix {

struct Traced {
  Eigen::Vector3d value = Eigen::Vector3d::Zero();
  Eigen::MatrixXd by_inputs{};  // 3 x inputs
};

inline Traced operator+(const Traced& a, const Traced& b) {
  return {a.value + b.value, a.by_inputs + b.by_inputs};
}
inline Traced operator-(const Traced& a, const Traced& b) {
  return {a.value - b.value, a.by_inputs - b.by_inputs};
}
inline Traced operator*(double factor, const Traced& a) {
  return {factor * a.value, factor * a.by_inputs};
}

struct TracedPose {
  RigidTransform value{};
  Eigen::MatrixXd by_inputs{};  // 6 x inputs: translation, small turn from the left

  static TracedPose identity(Eigen::Index inputs) { return {{}, Eigen::MatrixXd::Zero(6, inputs)}; }

  TracedPose inverse() const {
    const Eigen::Matrix3d back = value.rotation.toRotationMatrix().transpose();
    TracedPose result{value.inverse(), Eigen::MatrixXd(6, by_inputs.cols())};
    result.by_inputs.topRows<3>() =
        -back * (by_inputs.topRows<3>() + cross_matrix(value.translation_mm) * by_inputs.bottomRows<3>());
    result.by_inputs.bottomRows<3>() = -back * by_inputs.bottomRows<3>();
    return result;
  }
  TracedPose operator*(const TracedPose& right) const {
    const Eigen::Matrix3d turn = value.rotation.toRotationMatrix();
    const Eigen::Vector3d arm_mm = turn * right.value.translation_mm;
    TracedPose result{value * right.value, by_inputs};
    result.by_inputs.topRows<3>() +=
        turn * right.by_inputs.topRows<3>() - cross_matrix(arm_mm) * by_inputs.bottomRows<3>();
    result.by_inputs.bottomRows<3>() += turn * right.by_inputs.bottomRows<3>();
    return result;
  }
  Traced operator*(const Traced& point) const {
    const Eigen::Vector3d arm_mm = value.rotation * point.value;
    return {value * point.value, by_inputs.topRows<3>() - cross_matrix(arm_mm) * by_inputs.bottomRows<3>() +
                                     value.rotation.toRotationMatrix() * point.by_inputs};
  }
  // A direction turns with the pose and is not moved by it.
  Traced turn(const Traced& direction) const {
    const Eigen::Vector3d turned = value.rotation * direction.value;
    return {turned, -cross_matrix(turned) * by_inputs.bottomRows<3>() +
                        value.rotation.toRotationMatrix() * direction.by_inputs};
  }
};

// The pose when the inputs move a little; derivatives as they were.
inline TracedPose at_moved_inputs(const TracedPose& pose, const Eigen::VectorXd& input_move) {
  const Eigen::VectorXd small = pose.by_inputs * input_move;
  TracedPose moved = pose;
  moved.value.translation_mm += small.head<3>();
  moved.value.rotation = turned_by(small.tail<3>(), pose.value.rotation);
  return moved;
}

// Rotation vector of a pose's rotation.
Traced rotation_vector(const TracedPose& pose);

// The vector's direction.
inline Traced direction_of(const Traced& vector) {
  const double length = vector.value.norm();
  const Eigen::Vector3d unit = vector.value / length;
  return {unit, (vector.by_inputs - unit * (unit.transpose() * vector.by_inputs)) / length};
}

}  // namespace pivotfix
