// SPDX-License-Identifier: Apache-2.0
// The six equations that a knuckle's pose must fulfil, with exact derivatives. Written for any number type:
// plain numbers for solving, numbers that carry a derivative for second derivatives.
//
// A knuckle point that was at p0 at ride height is at  p = reference + shift + R (p0 - reference).  The pose
// changes by a small shift and a small rotation vector applied from the left, so that
// dp = dshift + drotation x r  with  r = R (p0 - reference).  `reference` is a constant, not a hardpoint.
#pragma once

#include <Eigen/Geometry>
#include <array>
#include <cmath>
#include <variant>

#include "corner/constraints.h"
#include "corner/corner.h"

namespace pivotfix {

inline constexpr int max_points = 12;
inline constexpr int max_coordinates = 3 * max_points;

template <typename Number>
using Vector3 = Eigen::Matrix<Number, 3, 1>;

template <typename Number>
struct Pose {
  Eigen::Matrix<Number, 3, 3> rotation = Eigen::Matrix<Number, 3, 3>::Identity();
  Vector3<Number> shift_mm = Vector3<Number>::Zero();
};

template <typename Number>
using Points = std::array<Vector3<Number>, max_points>;

template <typename Number>
struct Equations {
  Eigen::Matrix<Number, 6, 1> residual_mm;
  Eigen::Matrix<Number, 6, 6> by_pose;                      // columns: shift, rotation
  Eigen::Matrix<Number, 6, max_coordinates> by_coordinate;  // valid where the residuals are zero
};

inline Points<double> points_of(const Corner& corner) {
  Points<double> points;
  points.fill(Vector3<double>::Zero());
  for (std::size_t i = 0; i < corner.points.size(); ++i) points[i] = corner.points[i].position_vehicle_mm;
  return points;
}

// What moves the corner. The rack shifts the inner link joint.
struct Drive {
  double travel_mm = 0.0;
  Eigen::Vector3d rack_shift_mm = Eigen::Vector3d::Zero();
};

inline Drive drive_of(const Corner& corner, double travel_mm, double rack_mm) {
  return {travel_mm, rack_mm * corner.rack_axis_vehicle};
}

template <typename Number>
class EquationWriter {
 public:
  EquationWriter(const Points<Number>& points, const Vector3<double>& reference_mm, const Pose<Number>& pose,
                 const Drive& drive, Equations<Number>& equations)
      : points_(points),
        reference_(reference_mm.cast<Number>()),
        pose_(pose),
        drive_(drive),
        out_(equations) {
    out_.by_coordinate.setZero();
  }

  // (|p - a|^2 - length^2) / (2 length): smooth, in mm, and no square root of the pose. Differentiating the
  // divisor is not needed because the residual is zero.
  void operator()(const FixedDistance& link) {
    fixed_distance(link.body_point, link.knuckle_point, Vector3<double>::Zero());
  }
  void operator()(const SteeringLink& link) {
    fixed_distance(link.body_point, link.knuckle_point, drive_.rack_shift_mm);
  }

  // normal . (top - low) = 0 for two normals of the line that turn with the knuckle. The line itself depends
  // on both points: turning it changes the residual by (top - low).d per ride length.
  void operator()(const PointOnLine& strut) {
    const Vector3<Number>& top = points_[strut.body_point];
    const Vector3<Number> ride = top - points_[strut.knuckle_point];
    const Number ride_length = ride.norm();
    const Vector3<Number> along = ride / ride_length;
    const Vector3<Number> low = reference_ + pose_.shift_mm + lever_of(strut.knuckle_point);
    const Number stretch = (top - low).dot(pose_.rotation * along) / ride_length;
    // Any fixed direction away from the line's own; a strut is never level.
    const Vector3<Number> first = along.cross(Vector3<Number>::UnitX()).normalized();
    for (const Vector3<Number>& ride_normal : {first, Vector3<Number>(along.cross(first))}) {
      const Vector3<Number> normal = pose_.rotation * ride_normal;
      out_.residual_mm[row_] = normal.dot(top - low);
      set_by_pose(-normal, normal.cross(top - reference_ - pose_.shift_mm));
      add_by_coordinate(strut.body_point, normal - ride_normal * stretch);
      add_by_coordinate(strut.knuckle_point, ride_normal * (stretch - Number(1.0)));
      ++row_;
    }
  }

  void operator()(const HeightIsTravel& wheel) {
    const Vector3<Number> lever = lever_of(wheel.knuckle_point);
    const Vector3<Number> up = Vector3<Number>::UnitZ();
    out_.residual_mm[row_] =
        (reference_ + pose_.shift_mm + lever - points_[wheel.knuckle_point]).z() - Number(drive_.travel_mm);
    set_by_pose(up, lever.cross(up));
    add_by_coordinate(wheel.knuckle_point, pose_.rotation.transpose() * up - up);
    ++row_;
  }

 private:
  void fixed_distance(std::size_t body_point, std::size_t knuckle_point, const Vector3<double>& body_shift) {
    const Vector3<Number>& body = points_[body_point];
    const Vector3<Number> ride = points_[knuckle_point] - body;
    const Vector3<Number> lever = lever_of(knuckle_point);
    const Vector3<Number> now = reference_ + pose_.shift_mm + lever - body - body_shift.cast<Number>();
    const Number length = ride.norm();
    out_.residual_mm[row_] = (now - ride).dot(now + ride) / (Number(2.0) * length);
    set_by_pose(now / length, lever.cross(now) / length);
    add_by_coordinate(body_point, (ride - now) / length);
    add_by_coordinate(knuckle_point, (pose_.rotation.transpose() * now - ride) / length);
    ++row_;
  }

  Vector3<Number> lever_of(std::size_t point) const { return pose_.rotation * (points_[point] - reference_); }

  void set_by_pose(const Vector3<Number>& by_shift, const Vector3<Number>& by_rotation) {
    out_.by_pose.row(row_).template head<3>() = by_shift.transpose();
    out_.by_pose.row(row_).template tail<3>() = by_rotation.transpose();
  }
  void add_by_coordinate(std::size_t point, const Vector3<Number>& slope) {
    out_.by_coordinate.row(row_).template segment<3>(static_cast<Eigen::Index>(3 * point)) +=
        slope.transpose();
  }

  const Points<Number>& points_;
  Vector3<Number> reference_;
  const Pose<Number>& pose_;
  const Drive& drive_;
  Equations<Number>& out_;
  Eigen::Index row_ = 0;
};

template <typename Number>
Equations<Number> equations_at(const ConstraintList& list, const Points<Number>& points,
                               const Vector3<double>& reference_mm, const Pose<Number>& pose,
                               const Drive& drive) {
  Equations<Number> equations;
  EquationWriter<Number> writer(points, reference_mm, pose, drive, equations);
  for (const Constraint& constraint : list.constraints) std::visit(writer, constraint);
  return equations;
}

// Spin axis of the left wheel at ride height, outboard (ISO 8855 toe and camber, both about vehicle axes).
inline Eigen::Vector3d spin_axis_at_ride(const WheelSetting& wheel) {
  const double toe = wheel.toe_rad;
  const double camber = wheel.camber_rad;
  return {std::sin(toe) * std::cos(camber), std::cos(toe) * std::cos(camber), -std::sin(camber)};
}

inline Eigen::Vector3d spin_axis_by_camber(const WheelSetting& wheel) {
  const double toe = wheel.toe_rad;
  const double camber = wheel.camber_rad;
  return {-std::sin(toe) * std::sin(camber), -std::cos(toe) * std::sin(camber), -std::cos(camber)};
}

inline double toe_of(const Eigen::Vector3d& spin) {
  return std::atan2(spin.x(), spin.y());
}
inline double camber_of(const Eigen::Vector3d& spin) {
  return -std::asin(spin.z());
}

// Derivatives of toe and camber with respect to the pose's change (shift, rotation vector).
template <typename Number>
Eigen::Matrix<Number, 6, 1> toe_by_pose(const Vector3<Number>& spin) {
  const Number level = spin.x() * spin.x() + spin.y() * spin.y();
  Eigen::Matrix<Number, 6, 1> slope = Eigen::Matrix<Number, 6, 1>::Zero();
  slope[3] = spin.x() * spin.z() / level;
  slope[4] = spin.y() * spin.z() / level;
  slope[5] = Number(-1.0);
  return slope;
}

inline Eigen::Matrix<double, 6, 1> camber_by_pose(const Eigen::Vector3d& spin) {
  const double level = std::hypot(spin.x(), spin.y());
  Eigen::Matrix<double, 6, 1> slope = Eigen::Matrix<double, 6, 1>::Zero();
  slope[3] = -spin.y() / level;
  slope[4] = spin.x() / level;
  return slope;
}

}  // namespace pivotfix
