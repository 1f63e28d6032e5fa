// SPDX-License-Identifier: Apache-2.0
#include <Eigen/LU>
#include <cmath>
#include <unsupported/Eigen/AutoDiff>

#include "corner/corner.h"
#include "corner/equations.h"

namespace pivotfix {
namespace {

using Vector6 = Eigen::Matrix<double, 6, 1>;
using Matrix6 = Eigen::Matrix<double, 6, 6>;
using Slopes = Eigen::Matrix<double, max_coordinates, 1>;
// A number with its derivatives with respect to all coordinates.
using Gradient = Eigen::AutoDiffScalar<Slopes>;
using Vector3g = Vector3<Gradient>;

// An instant centre further away than 100 m is called infinitely far.
constexpr double smallest_turn_rad_mm = 1e-5;

Points<Gradient> with_gradients(const Points<double>& points) {
  Points<Gradient> result;
  for (std::size_t i = 0; i < points.size(); ++i)
    for (int c = 0; c < 3; ++c)
      result[i][c] = Gradient(points[i][c], max_coordinates, static_cast<int>(3 * i) + c);
  return result;
}

// Velocity of the knuckle per mm of travel (shift of the reference point, rotation vector) when the steering
// link lets go and the toe is held instead.
Eigen::Matrix<Gradient, 6, 1> motion_without_toe(const Corner& corner, const ConstraintList& list,
                                                 const Points<Gradient>& points,
                                                 const Eigen::Vector3d& reference) {
  Eigen::Matrix<Gradient, 6, 6> rows = equations_at(list, points, reference, Pose<Gradient>{}, 0.0).by_pose;
  const Vector6 toe_row = toe_by_pose<double>(spin_axis_at_ride(corner.wheel));
  Matrix6 values;
  for (Eigen::Index c = 0; c < 6; ++c) {
    rows(list.link_row, c) = Gradient(toe_row[c]);
    rows(list.link_row, c).derivatives().setZero();
    for (Eigen::Index r = 0; r < 6; ++r) values(r, c) = rows(r, c).value();
  }
  const Eigen::PartialPivLU<Matrix6> factors(values);
  const Vector6 motion = factors.solve(Vector6::Unit(list.travel_row));
  // rows * motion = constant, so d(motion) = -rows^-1 * d(rows) * motion.
  Eigen::Matrix<double, 6, max_coordinates> change = Eigen::Matrix<double, 6, max_coordinates>::Zero();
  for (Eigen::Index r = 0; r < 6; ++r)
    for (Eigen::Index c = 0; c < 6; ++c) change.row(r) += rows(r, c).derivatives().transpose() * motion[c];
  const Eigen::Matrix<double, 6, max_coordinates> slopes = -factors.solve(change);
  Eigen::Matrix<Gradient, 6, 1> result;
  for (Eigen::Index r = 0; r < 6; ++r) result[r] = Gradient(motion[r], slopes.row(r).transpose());
  return result;
}

struct Figures {
  Gradient arm_angle{0.0};
  Gradient link_angle{0.0};
  Gradient effective_mismatch{0.0};
  Gradient link_line_above_instant_centre{0.0};
  bool arms_parallel = false;
  Eigen::Vector2d instant_centre_yz_mm = Eigen::Vector2d::Zero();
};

// Line in which a transverse plane cuts the plane of the lower arm, pointing outboard.
Gradient arm_angle(const ConstraintList& list, const Points<Gradient>& points) {
  const Vector3g axis = points[list.lower_arm_front] - points[list.lower_arm_rear];
  const Vector3g out = points[list.steering_axis_low] - points[list.lower_arm_rear];
  const Vector3g normal = axis.cross(out);
  return normal.z().value() > 0.0 ? Gradient(atan2(Gradient(-normal.y()), normal.z()))
                                  : Gradient(atan2(normal.y(), Gradient(-normal.z())));
}

Figures figures_of(const Corner& corner) {
  const ConstraintList& list = constraints_of(corner.layout);
  const Points<double> plain = points_of(corner);
  const Points<Gradient> points = with_gradients(plain);
  const Eigen::Vector3d& reference = plain[list.wheel_centre];
  Figures figures;
  figures.arm_angle = arm_angle(list, points);
  const Vector3g link = points[list.link_outer] - points[list.link_inner];
  figures.link_angle = atan2(link.z(), link.y());

  const Eigen::Matrix<Gradient, 6, 1> motion = motion_without_toe(corner, list, points, reference);
  const Vector3g turn(motion[3], motion[4], motion[5]);
  const Vector3g lever = points[list.link_outer] - reference.cast<Gradient>();
  const Vector3g velocity = Vector3g(motion[0], motion[1], motion[2]) + turn.cross(lever);

  // The vertical plane through the link: `level` runs outboard in it, `across` is its normal.
  const Gradient length = sqrt(link.x() * link.x() + link.y() * link.y());
  const Gradient level_x = link.x() / length;
  const Gradient level_y = link.y() / length;
  const Gradient sideways = velocity.x() * level_x + velocity.y() * level_y;
  const Gradient& upwards = velocity.z();
  const Gradient turn_in_plane = turn.x() * level_y - turn.y() * level_x;
  // The line from the rod end to the instant centre is perpendicular to the velocity: (upwards, -sideways).
  const Gradient ideal_angle = atan2(Gradient(-sideways), Gradient(upwards * level_y));
  figures.effective_mismatch = figures.link_angle - ideal_angle;

  figures.arms_parallel = std::abs(turn_in_plane.value()) < smallest_turn_rad_mm;
  if (figures.arms_parallel) {
    figures.link_line_above_instant_centre.derivatives().setZero();
    return figures;
  }
  const Gradient out = -upwards / turn_in_plane;  // from the rod end along `level`
  const Gradient up = sideways / turn_in_plane;
  figures.link_line_above_instant_centre = out * link.z() / length - up;
  figures.instant_centre_yz_mm = {plain[list.link_outer].y() + (out * level_y).value(),
                                  plain[list.link_outer].z() + up.value()};
  return figures;
}

}  // namespace

FrontView front_view(const Corner& corner) {
  const Figures figures = figures_of(corner);
  FrontView view;
  view.arm_angle_rad = figures.arm_angle.value();
  view.link_angle_rad = figures.link_angle.value();
  view.mismatch_rad = view.link_angle_rad - view.arm_angle_rad;
  view.effective_mismatch_rad = figures.effective_mismatch.value();
  view.arms_parallel = figures.arms_parallel;
  view.instant_centre_yz_mm = figures.instant_centre_yz_mm;
  view.link_line_above_instant_centre_mm = figures.link_line_above_instant_centre.value();
  return view;
}

FrontViewDerivatives front_view_derivatives(const Corner& corner) {
  const Figures figures = figures_of(corner);
  const Eigen::Index n = static_cast<Eigen::Index>(3 * corner.points.size());
  return {figures.arm_angle.derivatives().head(n), figures.link_angle.derivatives().head(n),
          figures.effective_mismatch.derivatives().head(n),
          figures.link_line_above_instant_centre.derivatives().head(n)};
}

SteeringAxis steering_axis(const Corner& corner) {
  const ConstraintList& list = constraints_of(corner.layout);
  const Eigen::Vector3d axis = corner.points[list.steering_axis_high].position_vehicle_mm -
                               corner.points[list.steering_axis_low].position_vehicle_mm;
  return {std::atan2(-axis.x(), axis.z()), std::atan2(-axis.y(), axis.z())};
}

}  // namespace pivotfix
