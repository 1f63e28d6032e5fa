// SPDX-License-Identifier: Apache-2.0
// From a point on a target to its pixel, templated for automatic derivatives. Private to the network stage.
#pragma once

#include <Eigen/Geometry>
#include <array>

#include "base/rigid_transform.h"
#include "lens/lens.h"

namespace pivotfix {

// A pose as one parameter block: quaternion (x, y, z, w), then translation in mm.
inline constexpr int pose_parameters = 7;
// A station: pose of the network in camera axes, then the photo's shift.
inline constexpr int station_parameters = pose_parameters + 3;

using PoseBlock = std::array<double, pose_parameters>;
using StationBlock = std::array<double, station_parameters>;

template <std::size_t size>
void write_pose(const RigidTransform& pose, std::array<double, size>& block) {
  for (int i = 0; i < 4; ++i) block[i] = pose.rotation.coeffs()[i];
  for (int i = 0; i < 3; ++i) block[4 + i] = pose.translation_mm[i];
}

template <std::size_t size>
RigidTransform read_pose(const std::array<double, size>& block) {
  RigidTransform pose;
  pose.rotation.coeffs() = Eigen::Map<const Eigen::Vector4d>(block.data());
  pose.rotation.normalize();
  pose.translation_mm = Eigen::Map<const Eigen::Vector3d>(block.data() + 4);
  return pose;
}

template <typename Scalar>
Eigen::Matrix<Scalar, 3, 1> move_by_pose(const Scalar* pose, const Eigen::Matrix<Scalar, 3, 1>& point_mm) {
  const Eigen::Map<const Eigen::Quaternion<Scalar>> rotation(pose);
  const Eigen::Map<const Eigen::Matrix<Scalar, 3, 1>> translation(pose + 4);
  return rotation * point_mm + translation;
}

template <typename Scalar>
Eigen::Matrix<Scalar, 2, 1> pixel_of_target_point(const Scalar* station, const Scalar* network_from_target,
                                                  const Scalar* size, const Scalar* lens,
                                                  const Eigen::Vector3d& point_target_mm) {
  const Eigen::Matrix<Scalar, 3, 1> scaled = point_target_mm.cast<Scalar>() * size[0];
  return pixel_from_direction<Scalar>(
      lens, station + pose_parameters,
      move_by_pose<Scalar>(station, move_by_pose<Scalar>(network_from_target, scaled)));
}

}  // namespace pivotfix
