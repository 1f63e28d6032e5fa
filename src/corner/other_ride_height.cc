// SPDX-License-Identifier: Apache-2.0
// The knuckle's pose at another travel. When its toe is held instead of the steering link's length: the same
// six equations with the link's row replaced. Derivatives by the implicit function theorem.
#include "corner/other_ride_height.h"

#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <variant>

#include "base/problem.h"
#include "base/units.h"
#include "corner/equations.h"

namespace pivotfix {
namespace {

using Vector6 = Eigen::Matrix<double, 6, 1>;

constexpr double longest_step_mm = 5.0;
constexpr double last_step = 1e-9;  // mm and rad
constexpr int most_iterations = 20;

// With toe kept, toe's row stands in the link's place.
Equations<double> equations_keeping(Kept kept, const Corner& corner, const ConstraintList& list,
                                    const Points<double>& points, const Pose<double>& pose,
                                    double travel_mm) {
  Equations<double> equations =
      equations_at(list, points, points[list.wheel_centre], pose, Drive{travel_mm, Eigen::Vector3d::Zero()});
  if (kept == Kept::link_length) return equations;
  const Eigen::Vector3d spin = pose.rotation * spin_axis_at_ride(corner.wheel);
  equations.residual_mm[list.link_row] = toe_of(spin) - corner.wheel.toe_rad;
  equations.by_pose.row(list.link_row) = toe_by_pose<double>(spin).transpose();
  equations.by_coordinate.row(list.link_row).setZero();
  return equations;
}

void move(Pose<double>& pose, const Vector6& change) {
  pose.shift_mm += change.head<3>();
  const double angle = change.tail<3>().norm();
  if (angle > 0.0)
    pose.rotation = Eigen::AngleAxisd(angle, change.tail<3>() / angle).toRotationMatrix() * pose.rotation;
}

Pose<double> pose_at(Kept kept, const Corner& corner, const ConstraintList& list,
                     const Points<double>& points, double travel_mm) {
  Pose<double> pose;
  const int steps = std::max(1, static_cast<int>(std::ceil(std::abs(travel_mm) / longest_step_mm)));
  for (int step = 1; step <= steps; ++step) {
    bool solved = false;
    for (int i = 0; i < most_iterations && !solved; ++i) {
      const Equations<double> now =
          equations_keeping(kept, corner, list, points, pose, travel_mm * step / steps);
      const Vector6 change =
          -Eigen::PartialPivLU<Eigen::Matrix<double, 6, 6>>(now.by_pose).solve(now.residual_mm);
      if (!(change.tail<3>().norm() < 0.5)) break;  // also when not finite
      move(pose, change);
      solved = change.cwiseAbs().maxCoeff() < last_step;
    }
    if (!solved)
      throw Problem(ProblemKind::refused,
                    "The corner cannot stand " + format_fixed(std::abs(travel_mm), 1) + " mm " +
                        (travel_mm > 0.0 ? "lower" : "higher") + ": its arms lock before.",
                    "Ask for a smaller change.");
  }
  return pose;
}

std::array<bool, max_points> knuckle_points(const ConstraintList& list) {
  std::array<bool, max_points> on_knuckle{};
  for (const Constraint& constraint : list.constraints)
    std::visit([&](const auto& one) { on_knuckle[one.knuckle_point] = true; }, constraint);
  on_knuckle[list.wheel_centre] = true;
  return on_knuckle;
}

}  // namespace

OtherRideHeight other_ride_height(const Corner& corner, double travel_mm, Kept kept) {
  const ConstraintList& list = constraints_of(corner.layout);
  const Points<double> points = points_of(corner);
  const Eigen::Vector3d& reference = points[list.wheel_centre];
  const Pose<double> pose = pose_at(kept, corner, list, points, travel_mm);
  const Equations<double> equations = equations_keeping(kept, corner, list, points, pose, travel_mm);
  const Eigen::PartialPivLU<Eigen::Matrix<double, 6, 6>> factors(equations.by_pose);
  const Eigen::Matrix<double, 6, max_coordinates> pose_by_coordinate =
      -factors.solve(equations.by_coordinate);
  const Vector6 pose_by_travel = factors.solve(Vector6(Vector6::Unit(list.travel_row)));

  const Eigen::Index n = static_cast<Eigen::Index>(3 * corner.points.size());
  OtherRideHeight result{corner, Eigen::MatrixXd::Identity(n, n), Eigen::VectorXd::Zero(n)};
  auto& [moved, by_coordinate, by_travel] = result;
  moved.covariance_mm2.resize(0, 0);
  const std::array<bool, max_points> on_knuckle = knuckle_points(list);
  for (std::size_t i = 0; i < corner.points.size(); ++i) {
    Eigen::Vector3d& point = moved.points[i].position_vehicle_mm;
    const Eigen::Index row = static_cast<Eigen::Index>(3 * i);
    if (on_knuckle[i]) {
      const Eigen::Vector3d lever = pose.rotation * (points[i] - reference);
      point = reference + pose.shift_mm + lever;
      by_coordinate.middleRows<3>(row) = pose_by_coordinate.topRows<3>().leftCols(n);
      for (Eigen::Index c = 0; c < n; ++c)
        by_coordinate.block<3, 1>(row, c) +=
            Eigen::Vector3d(pose_by_coordinate.col(c).tail<3>()).cross(lever);
      by_coordinate.block<3, 3>(row, row) += pose.rotation;
      by_travel.segment<3>(row) =
          pose_by_travel.head<3>() + Eigen::Vector3d(pose_by_travel.tail<3>()).cross(lever);
    }
    point.z() -= travel_mm;
    by_travel[row + 2] -= 1.0;
  }
  moved.wheel.camber_rad = camber_of(pose.rotation * spin_axis_at_ride(corner.wheel));
  moved.stud_axis_vehicle = pose.rotation * corner.stud_axis_vehicle;
  return result;
}

Corner at_other_ride_height(const Corner& corner, double travel_mm, double travel_sigma_mm, Kept kept) {
  OtherRideHeight other = other_ride_height(corner, travel_mm, kept);
  if (corner.covariance_mm2.size() > 0)
    other.corner.covariance_mm2 =
        other.by_coordinate * corner.covariance_mm2 * other.by_coordinate.transpose() +
        travel_sigma_mm * travel_sigma_mm * other.by_travel * other.by_travel.transpose();
  return other.corner;
}

}  // namespace pivotfix
