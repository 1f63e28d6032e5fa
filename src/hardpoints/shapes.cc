// SPDX-License-Identifier: Apache-2.0
#include "hardpoints/shapes.h"

#include <Eigen/Eigenvalues>
#include <Eigen/QR>
#include <algorithm>

#include "base/problem.h"
#include "base/units.h"
#include "hardpoints/conditions.h"
#include "hardpoints/unit_direction.h"

namespace pivotfix {

namespace {

using Eigen::Index;
using Eigen::Matrix3d;
using Eigen::MatrixXd;
using Eigen::Vector3d;
using Eigen::VectorXd;

constexpr double least_length_on_tube_mm = 60.0;

Vector3d middle_of(const std::vector<Traced>& points) {
  Vector3d sum = Vector3d::Zero();
  for (const Traced& point : points) sum += point.value;
  return sum / static_cast<double>(points.size());
}

// Axes of the points' spread, thinnest first, and how wide they spread along each.
struct Spread {
  Matrix3d axes = Matrix3d::Identity();
  Vector3d widths_mm = Vector3d::Zero();
};
Spread spread_of(const std::vector<Traced>& points, const Vector3d& middle) {
  Matrix3d scatter = Matrix3d::Zero();
  for (const Traced& point : points)
    scatter +=
        (point.value - middle) * (point.value - middle).transpose() / static_cast<double>(points.size());
  const Eigen::SelfAdjointEigenSolver<Matrix3d> shape(scatter);
  return {shape.eigenvectors(), shape.eigenvalues().cwiseMax(0.0).cwiseSqrt()};
}

Vector3d at_moved_inputs(const Traced& point, const VectorXd& move) {
  return point.value + point.by_inputs * move;
}

// Centre and radius of the circle that fits best by its linear equation: only a start.
VectorXd circle_start(const std::vector<Traced>& points, const Vector3d& middle, const Across& basis) {
  MatrixXd rows(points.size(), 3);
  VectorXd squares(points.size());
  for (std::size_t i = 0; i < points.size(); ++i) {
    const Vector3d out = points[i].value - middle;
    rows.row(i) << 2.0 * basis.first.dot(out), 2.0 * basis.second.dot(out), 1.0;
    squares[i] = out.squaredNorm();
  }
  const Vector3d circle = rows.colPivHouseholderQr().solve(squares);
  VectorXd start(6);
  start << 0.0, 0.0, middle + circle.x() * basis.first + circle.y() * basis.second,
      std::sqrt(std::max(1.0, circle.z() + circle.head<2>().squaredNorm()));
  return start;
}

}  // namespace

Ring ring_through(const std::vector<Traced>& points, const Vector3d& outwards,
                  const MatrixXd& input_covariance, const std::string& what) {
  if (points.size() < 3)
    throw Problem(
        ProblemKind::refused,
        "The ring for " + what + " has " + std::to_string(points.size()) + " tags; three make a circle.",
        "Stick a third tag round the same part, and a fourth to check.");
  const Vector3d middle = middle_of(points);
  const Spread spread = spread_of(points, middle);
  if (spread.widths_mm[1] < 0.15 * spread.widths_mm[2])
    throw Problem(ProblemKind::refused, "The ring's tags for " + what + " lie almost in one line.",
                  "Spread them round the part, a third of a turn apart.");
  Vector3d unit = spread.axes.col(0);
  if (unit.dot(outwards) < 0.0) unit = -unit;
  const Across basis = across(unit);
  const auto rows = static_cast<Index>(2 * points.size());
  // Parameters: two tilts of the axis, the centre, the radius. Each point lies in the plane and on the
  // circle.
  const auto at = [&](const VectorXd& p, const VectorXd& move) {
    const Tilted axis = tilted(unit, basis, p[0], p[1]);
    const Vector3d centre = p.segment<3>(2);
    Conditions now{VectorXd(rows), MatrixXd::Zero(rows, 6), MatrixXd(rows, input_covariance.rows())};
    for (std::size_t i = 0; i < points.size(); ++i) {
      const auto row = static_cast<Index>(2 * i);
      const Vector3d out = at_moved_inputs(points[i], move) - centre;
      const Vector3d radial = out.normalized();
      now.miss[row] = axis.unit.dot(out);
      now.miss[row + 1] = out.norm() - p[5];
      now.by_inputs.row(row) = axis.unit.transpose() * points[i].by_inputs;
      now.by_inputs.row(row + 1) = radial.transpose() * points[i].by_inputs;
      now.by_parameters.block<1, 2>(row, 0) = out.transpose() * axis.by_tilt;
      now.by_parameters.block<1, 3>(row, 2) = -axis.unit.transpose();
      now.by_parameters.block<1, 3>(row + 1, 2) = -radial.transpose();
      now.by_parameters(row + 1, 5) = -1.0;
    }
    return now;
  };
  const ConditionFit fit = fit_parameters(at, circle_start(points, middle, basis), input_covariance);
  if (!fit.converged)
    throw Problem(ProblemKind::refused, "The ring's tags for " + what + " do not lie on a circle.",
                  "Check their numbers in the job file.");
  const Tilted axis = tilted(unit, basis, fit.parameters[0], fit.parameters[1]);
  return {{fit.parameters.segment<3>(2), fit.by_inputs.middleRows<3>(2)},
          {axis.unit, axis.by_tilt * fit.by_inputs.topRows<2>()},
          fit.parameters[5],
          {fit.chi_square, fit.freedom}};
}

Line line_through(const std::vector<Traced>& points, const MatrixXd& input_covariance,
                  const std::string& what) {
  if (points.size() < 2)
    throw Problem(ProblemKind::refused, "The axis for " + what + " has one tag; two make a line.",
                  "Stick a second tag further along the part.");
  const Vector3d middle = middle_of(points);
  Vector3d unit = spread_of(points, middle).axes.col(2);
  if (unit.dot(points.back().value - points.front().value) < 0.0) unit = -unit;
  double least_mm = 0.0, most_mm = 0.0;
  for (const Traced& point : points) {
    least_mm = std::min(least_mm, unit.dot(point.value - middle));
    most_mm = std::max(most_mm, unit.dot(point.value - middle));
  }
  if (most_mm - least_mm < least_length_on_tube_mm)
    throw Problem(ProblemKind::refused,
                  "The tags for " + what + " are only " + format_fixed(most_mm - least_mm, 0) +
                      " mm apart along it; " + format_fixed(least_length_on_tube_mm, 0) + " mm are needed.",
                  "Stick one tag low and one high on it, as far apart as can be.");
  const Across basis = across(unit);
  const auto rows = static_cast<Index>(2 * points.size());
  // Parameters: two tilts, two shifts of the middle across the line.
  const auto at = [&](const VectorXd& p, const VectorXd& move) {
    const Tilted axis = tilted(unit, basis, p[0], p[1]);
    const Vector3d on_line = middle + p[2] * basis.first + p[3] * basis.second;
    const Matrix3d across_axis = Matrix3d::Identity() - axis.unit * axis.unit.transpose();
    Conditions now{VectorXd(rows), MatrixXd(rows, 4), MatrixXd(rows, input_covariance.rows())};
    Eigen::Matrix<double, 2, 3> sides;
    sides << basis.first.transpose(), basis.second.transpose();
    for (std::size_t i = 0; i < points.size(); ++i) {
      const Vector3d out = at_moved_inputs(points[i], move) - on_line;
      Eigen::Matrix<double, 3, 4> by;
      for (int k = 0; k < 2; ++k)
        by.col(k) = -axis.by_tilt.col(k).dot(out) * axis.unit - axis.unit.dot(out) * axis.by_tilt.col(k);
      by.col(2) = -across_axis * basis.first;
      by.col(3) = -across_axis * basis.second;
      now.miss.segment<2>(2 * i) = sides * across_axis * out;
      now.by_inputs.middleRows<2>(2 * i) = sides * across_axis * points[i].by_inputs;
      now.by_parameters.middleRows<2>(2 * i) = sides * by;
    }
    return now;
  };
  const ConditionFit fit = fit_parameters(at, VectorXd::Zero(4), input_covariance);
  const Tilted axis = tilted(unit, basis, fit.parameters[0], fit.parameters[1]);
  Line line;
  line.direction = {axis.unit, axis.by_tilt * fit.by_inputs.topRows<2>()};
  const Traced on_line{middle + fit.parameters[2] * basis.first + fit.parameters[3] * basis.second,
                       basis.first * fit.by_inputs.row(2) + basis.second * fit.by_inputs.row(3)};
  // The first point's foot: its place along the line is its own.
  const Traced out = points.front() - on_line;
  const double along_mm = axis.unit.dot(out.value);
  line.low.value = on_line.value + along_mm * axis.unit;
  line.low.by_inputs =
      on_line.by_inputs + along_mm * line.direction.by_inputs +
      axis.unit * (axis.unit.transpose() * out.by_inputs + out.value.transpose() * line.direction.by_inputs);
  line.check = {fit.chi_square, fit.freedom};
  return line;
}

// When a point moves by d, the normal turns against the share of d along it (first order, flat points).
Traced plane_through(const std::vector<Traced>& points, const Vector3d& outwards, const std::string& what) {
  if (points.size() < 3)
    throw Problem(
        ProblemKind::refused,
        "Only " + std::to_string(points.size()) + " tags are seen for " + what + "; three make a plane.",
        "Stick a third tag on the same face, and take two photos or more of all.");
  const Vector3d middle = middle_of(points);
  const Spread spread = spread_of(points, middle);
  if (spread.widths_mm[1] < 0.15 * spread.widths_mm[2])
    throw Problem(ProblemKind::refused, "The tags for " + what + " lie almost in one line.",
                  "Spread them over the face.");
  Traced normal{spread.axes.col(0), MatrixXd::Zero(3, points.front().by_inputs.cols())};
  if (normal.value.dot(outwards) < 0.0) normal.value = -normal.value;
  for (const Traced& point : points)
    for (int k = 1; k < 3; ++k) {
      const Vector3d in_plane = spread.axes.col(k);
      const double square = static_cast<double>(points.size()) * spread.widths_mm[k] * spread.widths_mm[k];
      normal.by_inputs -= in_plane * ((point.value - middle).dot(in_plane) / square) *
                          (normal.value.transpose() * point.by_inputs);
    }
  return normal;
}

}  // namespace pivotfix
