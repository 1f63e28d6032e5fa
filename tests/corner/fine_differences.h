// SPDX-License-Identifier: Apache-2.0
// Derivatives of all figures by differences of a solution in long double, the oracle for the exact ones.
#pragma once

#include <Eigen/LU>
#include <array>
#include <cmath>

#include "base/keep_larger.h"
#include "corner/corner.h"
#include "corner/figures_at.h"

namespace pivotfix {

using Real = long double;

// The same equations solved in long double from a solution in double.
inline Standing<Real> solved_finely(const Standing<double>& near, const Points<Real>& points,
                                    const Drive& drive) {
  Standing<Real> at{near.list, points, near.reference_mm, {}, near.spin_at_ride};
  Eigen::Quaternion<Real> turn(Eigen::Quaterniond(near.pose.rotation).cast<Real>());
  at.pose.shift_mm = near.pose.shift_mm.cast<Real>();
  for (int i = 0; i < 4; ++i) {
    at.pose.rotation = turn.normalized().toRotationMatrix();
    const Equations<Real> now = equations_at(at.list, at.points, at.reference_mm, at.pose, drive);
    const VectorOf6<Real> change = -Solver6<Real>(now.by_pose).solve(now.residual_mm);
    at.pose.shift_mm += change.head<3>();
    const Real angle = change.tail<3>().norm();
    if (angle > 0.0L)
      turn = Eigen::AngleAxis<Real>(angle, Vector3<Real>(change.tail<3>() / angle)) * turn.normalized();
  }
  at.pose.rotation = turn.normalized().toRotationMatrix();
  return at;
}

// How far the exact derivatives are from differences, relative to the largest one of the figure.
struct DerivativeMiss {
  double relative = 0.0;
  std::size_t compared = 0;

  void include(double other) {
    keep_larger(relative, other);
    ++compared;
  }
};
using DerivativeMisses = std::array<DerivativeMiss, figure_count>;

inline bool belongs_to_instant_centre(Figure figure) {
  return figure == Figure::instant_centre_y || figure == Figure::instant_centre_z ||
         figure == Figure::swing_arm_length;
}

// All figures by all coordinates of one corner in one position.
inline DerivativeMisses derivative_misses(const Corner& corner, double travel_mm, double rack_mm) {
  constexpr Real step_mm = 1e-3L;
  const CornerState state = solve_state(corner, travel_mm, rack_mm);
  const Drive drive = drive_of(corner, travel_mm, rack_mm);
  const Standing<double> near = standing(corner, state);
  const Eigen::MatrixXd exact = figure_derivatives(corner, state);
  Points<Real> points;
  for (std::size_t i = 0; i < points.size(); ++i) points[i] = near.points[i].cast<Real>();
  // An instant centre that is nearly at infinity has derivatives that grow beyond all bounds.
  const bool far = std::abs(figures(corner, state)[Figure::swing_arm_length]) > 20000.0;
  DerivativeMisses misses;
  for (Eigen::Index c = 0; c < exact.cols(); ++c) {
    Real& coordinate = points[static_cast<std::size_t>(c / 3)][c % 3];
    const Real here = coordinate;
    coordinate = here + step_mm;
    const auto above = figures_of(solved_finely(near, points, drive), drive).values;
    coordinate = here - step_mm;
    const auto below = figures_of(solved_finely(near, points, drive), drive).values;
    coordinate = here;
    for (std::size_t f = 0; f < figure_count; ++f) {
      if (far && belongs_to_instant_centre(static_cast<Figure>(f))) continue;
      const Eigen::Index row = static_cast<Eigen::Index>(f);
      const double difference = static_cast<double>((above[f] - below[f]) / (2.0L * step_mm));
      const double scale = exact.row(row).cwiseAbs().maxCoeff<Eigen::PropagateNaN>();
      if (scale < 1e-9) continue;
      misses[f].include(std::abs(exact(row, c) - difference) / scale);
    }
  }
  return misses;
}

// One of many plausible corners, each in another layout, travel and rack position.
struct DerivativeCase {
  Layout layout = Layout::strut;
  unsigned seed = 0;
  double travel_mm = 0.0;
  double rack_mm = 0.0;
};
inline DerivativeCase derivative_case(unsigned number) {
  return {all_layouts()[number % all_layouts().size()], number / 5,
          -60.0 + 120.0 * static_cast<double>((number * 37U) % 101U) / 100.0,
          -30.0 + 60.0 * static_cast<double>((number * 53U) % 103U) / 102.0};
}

}  // namespace pivotfix
