// SPDX-License-Identifier: Apache-2.0
// Collins and Bartoli, "Infinitesimal Plane-Based Pose Estimation", International Journal of Computer Vision
// 109 (2014): the homography's first-order behaviour at the tag's centre fixes the rotation up to one
// reflection. Formulas from memory; the tests hold them against poses that are known.
#include "network/planar_pose.h"

#include <Eigen/LU>
#include <Eigen/QR>
#include <Eigen/SVD>
#include <algorithm>
#include <cmath>

namespace pivotfix {

namespace {

using Eigen::Matrix2d;
using Eigen::Matrix3d;
using Eigen::Vector2d;
using Eigen::Vector3d;

// Homography with its last entry 1, from four pairs.
std::optional<Matrix3d> homography(const std::array<Vector2d, 4>& image,
                                   const std::array<Vector3d, 4>& plane) {
  Eigen::Matrix<double, 8, 8> equations = Eigen::Matrix<double, 8, 8>::Zero();
  Eigen::Matrix<double, 8, 1> right;
  for (int i = 0; i < 4; ++i) {
    const double x = plane[i].x(), y = plane[i].y(), u = image[i].x(), v = image[i].y();
    equations.row(2 * i) << x, y, 1, 0, 0, 0, -u * x, -u * y;
    equations.row(2 * i + 1) << 0, 0, 0, x, y, 1, -v * x, -v * y;
    right.segment<2>(2 * i) << u, v;
  }
  const Eigen::FullPivLU<Eigen::Matrix<double, 8, 8>> solver(equations);
  if (!solver.isInvertible()) return std::nullopt;
  const Eigen::Matrix<double, 8, 1> h = solver.solve(right);
  Matrix3d result;
  result << h[0], h[1], h[2], h[3], h[4], h[5], h[6], h[7], 1.0;
  return result;
}

// Translation by least squares once the rotation is known: direction x (R p + t) = 0.
Vector3d translation_for(const Matrix3d& rotation, const std::array<Vector2d, 4>& direction,
                         const std::array<Vector3d, 4>& points) {
  Eigen::Matrix<double, 8, 3> equations;
  Eigen::Matrix<double, 8, 1> right;
  for (int i = 0; i < 4; ++i) {
    const Vector3d turned = rotation * points[i];
    equations.row(2 * i) << 1, 0, -direction[i].x();
    equations.row(2 * i + 1) << 0, 1, -direction[i].y();
    right[2 * i] = direction[i].x() * turned.z() - turned.x();
    right[2 * i + 1] = direction[i].y() * turned.z() - turned.y();
  }
  return equations.colPivHouseholderQr().solve(right);
}

double square_error(const RigidTransform& pose, const std::array<Vector2d, 4>& direction,
                    const std::array<Vector3d, 4>& points) {
  double sum = 0.0;
  for (int i = 0; i < 4; ++i) {
    const Vector3d seen = pose * points[i];
    if (seen.z() <= 0.0) return 1e9;
    sum += (seen.hnormalized() - direction[i]).squaredNorm();
  }
  return sum;
}

}  // namespace

std::optional<PlanarPoses> planar_poses(const std::array<Vector2d, 4>& direction,
                                        const std::array<Vector3d, 4>& corner_tag_mm) {
  const auto h = homography(direction, corner_tag_mm);
  if (!h) return std::nullopt;
  const double p = (*h)(0, 2), q = (*h)(1, 2);
  Matrix2d jacobian;  // of the homography at the tag's centre
  jacobian << (*h)(0, 0) - (*h)(2, 0) * p, (*h)(0, 1) - (*h)(2, 1) * p, (*h)(1, 0) - (*h)(2, 0) * q,
      (*h)(1, 1) - (*h)(2, 1) * q;
  const Matrix3d towards =
      Eigen::Quaterniond::FromTwoVectors(Vector3d::UnitZ(), Vector3d(p, q, 1.0)).toRotationMatrix();
  Eigen::Matrix<double, 2, 3> project;
  project << 1, 0, -p, 0, 1, -q;
  const Matrix2d b = (project * towards).leftCols<2>();
  const Matrix2d a = b.inverse() * jacobian;
  const double scale = Eigen::JacobiSVD<Matrix2d>(a).singularValues()[0];
  if (!(scale > 0.0) || !std::isfinite(scale)) return std::nullopt;
  const Matrix2d upper = a / scale;
  const Matrix2d rest = Matrix2d::Identity() - upper.transpose() * upper;  // b b' with b the third row
  const double bx = std::sqrt(std::max(0.0, rest(0, 0)));
  const double by = std::copysign(std::sqrt(std::max(0.0, rest(1, 1))), rest(0, 1));
  PlanarPoses poses;
  std::array<double, 2> error{};
  for (int which = 0; which < 2; ++which) {
    const double sign = which == 0 ? 1.0 : -1.0;
    const Vector3d first(upper(0, 0), upper(1, 0), sign * bx), second(upper(0, 1), upper(1, 1), sign * by);
    Matrix3d rotation;
    rotation << first, second, first.cross(second);
    rotation = towards * rotation;
    // Noise leaves the matrix slightly off a rotation.
    const Eigen::JacobiSVD<Matrix3d> nearest(rotation, Eigen::ComputeFullU | Eigen::ComputeFullV);
    rotation = nearest.matrixU() * nearest.matrixV().transpose();
    if (rotation.determinant() < 0.0) return std::nullopt;
    poses.camera_from_tag[which] = {Eigen::Quaterniond(rotation),
                                    translation_for(rotation, direction, corner_tag_mm)};
    error[which] = square_error(poses.camera_from_tag[which], direction, corner_tag_mm);
  }
  if (std::min(error[0], error[1]) >= 1e9) return std::nullopt;
  if (error[1] < error[0]) std::swap(poses.camera_from_tag[0], poses.camera_from_tag[1]);
  return poses;
}

}  // namespace pivotfix
