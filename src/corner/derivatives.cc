// SPDX-License-Identifier: Apache-2.0
// Implicit function theorem: G(pose, coordinates, travel) = 0, so toe's derivatives are
//   -m . dG/dcoordinates  with  (dG/dpose)^T m = dtoe/dpose,
// one solve for all coordinates. Second derivatives: the same expression evaluated with numbers that carry
// their derivative along the motion caused by the rod end's height.
#include <Eigen/LU>
#include <unsupported/Eigen/AutoDiff>

#include "corner/corner.h"
#include "corner/equations.h"

namespace pivotfix {
namespace {

using Vector6 = Eigen::Matrix<double, 6, 1>;
using Matrix6 = Eigen::Matrix<double, 6, 6>;
// A number with its derivative in one direction.
using Dual = Eigen::AutoDiffScalar<Eigen::Matrix<double, 1, 1>>;

Dual dual(double value, double slope) {
  return Dual(value, Eigen::Matrix<double, 1, 1>(slope));
}

template <int rows, int cols>
Eigen::Matrix<Dual, rows, cols> dual(const Eigen::Matrix<double, rows, cols>& value,
                                     const Eigen::Matrix<double, rows, cols>& slope) {
  Eigen::Matrix<Dual, rows, cols> result;
  for (Eigen::Index r = 0; r < rows; ++r)
    for (Eigen::Index c = 0; c < cols; ++c) result(r, c) = dual(value(r, c), slope(r, c));
  return result;
}

template <int rows, int cols>
Eigen::Matrix<double, rows, cols> slope_of(const Eigen::Matrix<Dual, rows, cols>& numbers) {
  Eigen::Matrix<double, rows, cols> slopes;
  for (Eigen::Index r = 0; r < rows; ++r)
    for (Eigen::Index c = 0; c < cols; ++c) slopes(r, c) = numbers(r, c).derivatives()[0];
  return slopes;
}

// No constraint knows of the spin axis, so the pose stays.
double toe_by_camber(const WheelSetting& wheel, const Eigen::Matrix3d& rotation) {
  const Eigen::Vector3d spin = rotation * spin_axis_at_ride(wheel);
  const Eigen::Vector3d change = rotation * spin_axis_by_camber(wheel);
  return (spin.y() * change.x() - spin.x() * change.y()) / (spin.x() * spin.x() + spin.y() * spin.y());
}

// A solved state with its equations.
struct Linearised {
  const ConstraintList& list;
  Points<double> points;
  Eigen::Vector3d reference_mm;
  Pose<double> pose;
  Equations<double> equations;
  Eigen::PartialPivLU<Matrix6> factors;
  Eigen::Vector3d spin;

  Linearised(const Corner& corner, const CornerState& state)
      : list(constraints_of(corner.layout)),
        points(points_of(corner)),
        reference_mm(points[list.wheel_centre]),
        pose{state.moved_from_ride.rotation.toRotationMatrix(),
             state.moved_from_ride * reference_mm - reference_mm},
        equations(
            equations_at(list, points, reference_mm, pose, drive_of(corner, state.travel_mm, state.rack_mm))),
        factors(equations.by_pose),
        spin(pose.rotation * spin_axis_at_ride(corner.wheel)) {}
};

}  // namespace

StateDerivatives derivatives(const Corner& corner, const CornerState& state) {
  const Linearised at(corner, state);
  const Eigen::Index n = static_cast<Eigen::Index>(3 * corner.points.size());
  const Vector6 toe_multiplier = at.factors.transpose().solve(toe_by_pose<double>(at.spin));
  const Vector6 camber_multiplier = at.factors.transpose().solve(camber_by_pose(at.spin));
  StateDerivatives result;
  result.camber_by_travel = camber_multiplier[at.list.travel_row];
  result.toe_by_camber = toe_by_camber(corner.wheel, at.pose.rotation);
  result.toe_by_coordinate = -at.equations.by_coordinate.leftCols(n).transpose() * toe_multiplier;
  result.camber_by_coordinate = -at.equations.by_coordinate.leftCols(n).transpose() * camber_multiplier;
  return result;
}

HeightDerivatives height_derivatives(const Corner& corner, const CornerState& state) {
  const Linearised at(corner, state);
  const Eigen::Index n = static_cast<Eigen::Index>(3 * corner.points.size());
  const Eigen::Index outer = static_cast<Eigen::Index>(3 * at.list.link_outer);
  const Eigen::Vector3d& axis = corner.stud_axis_vehicle;

  // The pose's motion when the rod end rises.
  const Vector6 motion = -at.factors.solve(at.equations.by_coordinate.middleCols<3>(outer) * axis);
  const Pose<Dual> pose{dual<3, 3>(at.pose.rotation, cross_matrix(motion.tail<3>()) * at.pose.rotation),
                        dual<3, 1>(at.pose.shift_mm, motion.head<3>())};
  Points<Dual> points;
  for (std::size_t i = 0; i < points.size(); ++i)
    points[i] = dual<3, 1>(at.points[i], i == at.list.link_outer ? axis : Eigen::Vector3d::Zero());
  const Equations<Dual> equations =
      equations_at(at.list, points, at.reference_mm, pose, drive_of(corner, state.travel_mm, state.rack_mm));
  const Eigen::Vector3d spin_motion = motion.tail<3>().cross(at.spin);
  const Vector6 toe_slope_motion = slope_of<6, 1>(toe_by_pose<Dual>(dual<3, 1>(at.spin, spin_motion)));

  const Vector6 toe_slope = toe_by_pose<double>(at.spin);
  const Vector6 multiplier = at.factors.transpose().solve(toe_slope);
  const Vector6 multiplier_motion = at.factors.transpose().solve(
      toe_slope_motion - slope_of<6, 6>(equations.by_pose).transpose() * multiplier);

  HeightDerivatives result;
  result.toe_by_height = toe_slope.dot(motion);
  result.toe_by_travel_and_height = multiplier_motion[at.list.travel_row];
  result.toe_by_coordinate = -at.equations.by_coordinate.leftCols(n).transpose() * multiplier;
  result.toe_by_coordinate_and_height =
      -at.equations.by_coordinate.leftCols(n).transpose() * multiplier_motion -
      slope_of<6, max_coordinates>(equations.by_coordinate).leftCols(n).transpose() * multiplier;
  result.toe_by_height_twice = result.toe_by_coordinate_and_height.segment<3>(outer).dot(axis);
  return result;
}

}  // namespace pivotfix
