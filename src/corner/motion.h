// SPDX-License-Identifier: Apache-2.0
// How a knuckle moves from where it stands: velocity and acceleration per mm of travel, and with the steering
// link let go and toe prescribed instead. Written for any number type, so that numbers which carry their
// derivatives with respect to all coordinates give the derivatives of all that follows. All of it is derived
// here from the constraints; rigid-body kinematics as in any textbook of mechanics.
#pragma once

#include <Eigen/LU>
#include <cmath>
#include <unsupported/Eigen/AutoDiff>
#include <variant>

#include "corner/constraints.h"
#include "corner/equations.h"

namespace pivotfix {

template <typename Number>
using VectorOf6 = Eigen::Matrix<Number, 6, 1>;
template <typename Number>
using MatrixOf6 = Eigen::Matrix<Number, 6, 6>;

// A number with its derivatives with respect to all coordinates.
using Slopes = Eigen::Matrix<double, max_coordinates, 1>;
using Gradient = Eigen::AutoDiffScalar<Slopes>;

inline double value_of(double number) {
  return number;
}
inline double value_of(const Gradient& number) {
  return number.value();
}
inline long double value_of(long double number) {
  return number;
}

// Six linear equations.
template <typename Number>
class Solver6 {
 public:
  explicit Solver6(const MatrixOf6<Number>& matrix) : factors_(matrix) {}
  VectorOf6<Number> solve(const VectorOf6<Number>& right) const { return factors_.solve(right); }

 private:
  Eigen::PartialPivLU<MatrixOf6<Number>> factors_;
};

// matrix * x = right, so d(x) = matrix^-1 (d(right) - d(matrix) x): one factorisation of plain numbers.
template <>
class Solver6<Gradient> {
 public:
  explicit Solver6(const MatrixOf6<Gradient>& matrix) : matrix_(matrix) {
    MatrixOf6<double> values;
    for (Eigen::Index r = 0; r < 6; ++r)
      for (Eigen::Index c = 0; c < 6; ++c) values(r, c) = matrix(r, c).value();
    factors_.compute(values);
  }

  VectorOf6<Gradient> solve(const VectorOf6<Gradient>& right) const {
    VectorOf6<double> values;
    for (Eigen::Index r = 0; r < 6; ++r) values[r] = right[r].value();
    const VectorOf6<double> x = factors_.solve(values);
    Eigen::Matrix<double, 6, max_coordinates> change;
    for (Eigen::Index r = 0; r < 6; ++r) {
      change.row(r) = right[r].derivatives().transpose();
      for (Eigen::Index c = 0; c < 6; ++c) change.row(r) -= matrix_(r, c).derivatives().transpose() * x[c];
    }
    const Eigen::Matrix<double, 6, max_coordinates> slopes = factors_.solve(change);
    VectorOf6<Gradient> result;
    for (Eigen::Index r = 0; r < 6; ++r) result[r] = Gradient(x[r], slopes.row(r).transpose());
    return result;
  }

 private:
  MatrixOf6<Gradient> matrix_;
  Eigen::PartialPivLU<MatrixOf6<double>> factors_{};
};

// A corner in one position.
template <typename Number>
struct Standing {
  const ConstraintList& list;
  Points<Number> points;
  Eigen::Vector3d reference_mm;  // a constant: where the wheel centre is at ride height
  Pose<Number> pose;
  Eigen::Vector3d spin_at_ride;

  Vector3<Number> reference_at_ride() const { return reference_mm.template cast<Number>(); }
  Vector3<Number> reference() const { return reference_at_ride() + pose.shift_mm; }
  Vector3<Number> lever_of(std::size_t point) const {
    return pose.rotation * (points[point] - reference_at_ride());
  }
  Vector3<Number> place_of(std::size_t point) const { return reference() + lever_of(point); }
  Vector3<Number> spin() const { return pose.rotation * spin_at_ride.template cast<Number>(); }
};

// Of the knuckle: of its reference point, and the rotation vector.
template <typename Number>
struct Motion {
  VectorOf6<Number> velocity = VectorOf6<Number>::Zero();
  VectorOf6<Number> acceleration = VectorOf6<Number>::Zero();

  Vector3<Number> shift() const { return velocity.template head<3>(); }
  Vector3<Number> turn() const { return velocity.template tail<3>(); }
  // Of a point at `lever` from the reference point.
  Vector3<Number> velocity_at(const Vector3<Number>& lever) const { return shift() + turn().cross(lever); }
  Vector3<Number> acceleration_at(const Vector3<Number>& lever) const {
    return acceleration.template head<3>() + Vector3<Number>(acceleration.template tail<3>()).cross(lever) +
           turn().cross(Vector3<Number>(turn().cross(lever)));
  }
};

// Second derivative of each equation for a motion that goes on with constant velocities; the acceleration
// must make up for it.
template <typename Number>
class BendWriter {
 public:
  BendWriter(const Standing<Number>& at, const Eigen::Vector3d& rack_shift_mm, const Motion<Number>& motion,
             VectorOf6<Number>& bend)
      : at_(at), rack_shift_(rack_shift_mm), motion_(motion), out_(bend) {}

  void operator()(const FixedDistance& link) { fixed_distance(link, Eigen::Vector3d::Zero()); }
  void operator()(const SteeringLink& link) { fixed_distance(link, rack_shift_); }

  void operator()(const PointOnLine& strut) {
    const Vector3<Number>& top = at_.points[strut.body_point];
    const Vector3<Number> ride = top - at_.points[strut.knuckle_point];
    const Vector3<Number> along = ride / Number(ride.norm());
    const Vector3<Number> lever = at_.lever_of(strut.knuckle_point);
    const Vector3<Number> to_top = top - at_.place_of(strut.knuckle_point);
    const Vector3<Number> first = along.cross(Vector3<Number>::UnitX()).normalized();
    const Vector3<Number> turn = motion_.turn();
    for (const Vector3<Number>& ride_normal : {first, Vector3<Number>(along.cross(first))}) {
      const Vector3<Number> normal = at_.pose.rotation * ride_normal;
      const Vector3<Number> swing = turn.cross(normal);
      out_[row_++] = turn.cross(swing).dot(to_top) - Number(2.0) * swing.dot(motion_.velocity_at(lever)) -
                     normal.dot(centripetal(lever));
    }
  }

  void operator()(const HeightIsTravel& wheel) {
    out_[row_++] = centripetal(at_.lever_of(wheel.knuckle_point)).z();
  }

 private:
  Vector3<Number> centripetal(const Vector3<Number>& lever) const {
    const Vector3<Number> turn = motion_.turn();
    return turn.cross(Vector3<Number>(turn.cross(lever)));
  }

  template <typename Link>
  void fixed_distance(const Link& link, const Eigen::Vector3d& body_shift) {
    const Vector3<Number> lever = at_.lever_of(link.knuckle_point);
    const Vector3<Number>& body = at_.points[link.body_point];
    const Vector3<Number> now = at_.place_of(link.knuckle_point) - body - body_shift.cast<Number>();
    const Vector3<Number> velocity = motion_.velocity_at(lever);
    const Vector3<Number> ride = at_.points[link.knuckle_point] - body;
    out_[row_++] = (velocity.dot(velocity) + now.dot(centripetal(lever))) / Number(ride.norm());
  }

  const Standing<Number>& at_;
  Eigen::Vector3d rack_shift_;
  const Motion<Number>& motion_;
  VectorOf6<Number>& out_;
  Eigen::Index row_ = 0;
};

template <typename Number>
VectorOf6<Number> bend_of(const Standing<Number>& at, const Eigen::Vector3d& rack_shift_mm,
                          const Motion<Number>& motion) {
  VectorOf6<Number> bend;
  BendWriter<Number> writer(at, rack_shift_mm, motion, bend);
  for (const Constraint& constraint : at.list.constraints) std::visit(writer, constraint);
  return bend;
}

// toe = atan2(s_x, s_y) of the spin axis s, with s' = turn x s.
template <typename Number>
Number toe_velocity(const Vector3<Number>& spin, const Motion<Number>& motion) {
  const Vector3<Number> rate = motion.turn().cross(spin);
  return (spin.y() * rate.x() - spin.x() * rate.y()) / (spin.x() * spin.x() + spin.y() * spin.y());
}

template <typename Number>
Number toe_acceleration(const Vector3<Number>& spin, const Motion<Number>& motion) {
  const Vector3<Number> turn = motion.turn();
  const Vector3<Number> rate = turn.cross(spin);
  const Vector3<Number> second =
      Vector3<Number>(motion.acceleration.template tail<3>()).cross(spin) + turn.cross(rate);
  const Number level = spin.x() * spin.x() + spin.y() * spin.y();
  const Number level_rate = Number(2.0) * (spin.x() * rate.x() + spin.y() * rate.y());
  return (spin.y() * second.x() - spin.x() * second.y()) / level -
         toe_velocity(spin, motion) * level_rate / level;
}

template <typename Number>
VectorOf6<Number> unit6(int row) {
  VectorOf6<Number> unit = VectorOf6<Number>::Zero();
  unit[row] = Number(1.0);
  return unit;
}

// All motions of a corner in one position.
template <typename Number>
struct Motions {
  Motion<Number> travel{};           // rack held
  Motion<Number> without_toe{};      // travel with toe held and the steering link let go
  Motion<Number> steer{};            // toe rate 1 at the wheel centre's height; no acceleration
  Number link_by_toe = Number(0.0);  // how fast the steering link would have to lengthen in it: its lever
};

template <typename Number>
Motions<Number> motions_of(const Standing<Number>& at, const Drive& drive) {
  const MatrixOf6<Number> rows = equations_at(at.list, at.points, at.reference_mm, at.pose, drive).by_pose;
  const VectorOf6<Number> travel = unit6<Number>(at.list.travel_row);
  Motions<Number> motions;
  const Solver6<Number> held(rows);
  motions.travel.velocity = held.solve(travel);
  motions.travel.acceleration = held.solve(-bend_of(at, drive.rack_shift_mm, motions.travel));

  MatrixOf6<Number> toe_rows = rows;
  const Vector3<Number> spin = at.spin();
  toe_rows.row(at.list.link_row) = toe_by_pose<Number>(spin).transpose();
  const Solver6<Number> toe_held(toe_rows);
  motions.without_toe.velocity = toe_held.solve(travel);
  VectorOf6<Number> bend = bend_of(at, drive.rack_shift_mm, motions.without_toe);
  bend[at.list.link_row] = toe_acceleration(spin, motions.without_toe);
  motions.without_toe.acceleration = toe_held.solve(-bend);
  motions.steer.velocity = toe_held.solve(unit6<Number>(at.list.link_row));
  motions.link_by_toe = rows.row(at.list.link_row).dot(motions.steer.velocity.transpose());
  return motions;
}

// The same numbers, each coordinate with its own derivative.
inline Points<Gradient> with_gradients(const Points<double>& points) {
  Points<Gradient> result;
  for (std::size_t i = 0; i < points.size(); ++i)
    for (int c = 0; c < 3; ++c)
      result[i][c] = Gradient(points[i][c], max_coordinates, static_cast<int>(3 * i) + c);
  return result;
}

inline Standing<double> standing_at_ride(const Corner& corner) {
  const ConstraintList& list = constraints_of(corner.layout);
  const Points<double> points = points_of(corner);
  return {list, points, points[list.wheel_centre], Pose<double>{}, spin_axis_at_ride(corner.wheel)};
}

inline Standing<double> standing(const Corner& corner, const CornerState& state) {
  Standing<double> at = standing_at_ride(corner);
  at.pose = {state.moved_from_ride.rotation.toRotationMatrix(),
             state.moved_from_ride * at.reference_mm - at.reference_mm};
  return at;
}

// The pose's own derivatives follow from the implicit function theorem.
inline Standing<Gradient> with_gradients(const Standing<double>& at, const Drive& drive) {
  const Equations<double> equations = equations_at(at.list, at.points, at.reference_mm, at.pose, drive);
  const Eigen::Matrix<double, 6, max_coordinates> slopes =
      -Eigen::PartialPivLU<MatrixOf6<double>>(equations.by_pose).solve(equations.by_coordinate);
  Pose<Gradient> pose;
  for (Eigen::Index r = 0; r < 3; ++r) {
    pose.shift_mm[r] = Gradient(at.pose.shift_mm[r], slopes.row(r).transpose());
    // d(rotation) = d(rotation vector) x rotation, column by column.
    const Eigen::Index next = (r + 1) % 3;
    const Eigen::Index last = (r + 2) % 3;
    for (Eigen::Index c = 0; c < 3; ++c)
      pose.rotation(r, c) =
          Gradient(at.pose.rotation(r, c), slopes.row(3 + next).transpose() * at.pose.rotation(last, c) -
                                               slopes.row(3 + last).transpose() * at.pose.rotation(next, c));
  }
  return {at.list, with_gradients(at.points), at.reference_mm, pose, at.spin_at_ride};
}

}  // namespace pivotfix
