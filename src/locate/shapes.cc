// SPDX-License-Identifier: Apache-2.0
#include "locate/shapes.h"

#include <Eigen/Eigenvalues>
#include <Eigen/QR>
#include <algorithm>
#include <cmath>

#include "base/chance.h"
#include "base/problem.h"
#include "base/units.h"
#include "locate/conditions.h"
#include "locate/unit_direction.h"

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

// The points' coordinates as inputs of their own, three each: all that a shape needs to know of the tags.
struct PointInputs {
  std::vector<Traced> points{};
  MatrixXd by_inputs{};   // of these inputs, by those of the network
  MatrixXd covariance{};  // of these inputs
};
PointInputs inputs_of(const std::vector<Traced>& points, const MatrixXd& input_covariance) {
  const auto size = static_cast<Index>(3 * points.size());
  PointInputs own{points, MatrixXd(size, input_covariance.rows()), {}};
  for (std::size_t i = 0; i < points.size(); ++i) {
    const auto at = static_cast<Index>(3 * i);
    own.by_inputs.middleRows<3>(at) = points[i].by_inputs;
    own.points[i].by_inputs = MatrixXd::Identity(size, size).middleRows<3>(at);
  }
  own.covariance = own.by_inputs * input_covariance * own.by_inputs.transpose();
  return own;
}

struct ShapeFit {
  ConditionFit fit{};
  ShapeCheck check{};
};

// The scatter is found by halving its logarithm's interval.
ShapeFit fit_shape(const ConditionsAt& at, const VectorXd& start, const MatrixXd& covariance) {
  ShapeFit shape{fit_parameters(at, start, covariance)};
  shape.check = {shape.fit.chi_square, shape.fit.freedom};
  if (!shape.fit.converged || shape.fit.freedom <= 0 ||
      normal_deviate(shape.fit.chi_square, shape.fit.freedom) <= doubtful_deviate)
    return shape;
  const auto scattered = [&](double scatter_mm) {
    MatrixXd wider = covariance;
    wider.diagonal().array() += scatter_mm * scatter_mm;
    return fit_parameters(at, shape.fit.parameters, wider);
  };
  double low = std::log(1e-4), high = std::log(100.0);
  for (int i = 0; i < 30; ++i) {
    const double middle = 0.5 * (low + high);
    (scattered(std::exp(middle)).chi_square > shape.fit.freedom ? low : high) = middle;
  }
  shape.check.scatter_mm = std::exp(high);
  shape.fit = scattered(shape.check.scatter_mm);
  return shape;
}

// Point (first three rows) and direction by the points' own coordinates.
ShapeScatter scatter_of(const MatrixXd& by_points, double scatter_mm) {
  return scatter_mm * scatter_mm * by_points * by_points.transpose();
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

// Each point lies in the plane and on the circle. Parameters: two tilts of the axis, the centre, the radius.
Conditions on_circle(const std::vector<Traced>& points, const Tilted& axis, const VectorXd& p,
                     const VectorXd& move) {
  const auto rows = static_cast<Index>(2 * points.size());
  const Vector3d centre = p.segment<3>(2);
  Conditions now{VectorXd(rows), MatrixXd::Zero(rows, 6), MatrixXd(rows, move.size())};
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
}

// Each point lies on the line through `on_line`. Parameters: two tilts, two shifts of the line across itself.
Conditions on_axis(const std::vector<Traced>& points, const Vector3d& on_line, const Across& basis,
                   const Tilted& axis, const VectorXd& move) {
  const auto rows = static_cast<Index>(2 * points.size());
  const Matrix3d across_axis = Matrix3d::Identity() - axis.unit * axis.unit.transpose();
  Conditions now{VectorXd(rows), MatrixXd(rows, 4), MatrixXd(rows, move.size())};
  Eigen::Matrix<double, 2, 3> sides;
  sides << basis.first.transpose(), basis.second.transpose();
  for (std::size_t i = 0; i < points.size(); ++i) {
    const auto row = static_cast<Index>(2 * i);
    const Vector3d out = at_moved_inputs(points[i], move) - on_line;
    Eigen::Matrix<double, 3, 4> by;
    for (int k = 0; k < 2; ++k)
      by.col(k) = -axis.by_tilt.col(k).dot(out) * axis.unit - axis.unit.dot(out) * axis.by_tilt.col(k);
    by.col(2) = -across_axis * basis.first;
    by.col(3) = -across_axis * basis.second;
    now.miss.segment<2>(row) = sides * across_axis * out;
    now.by_inputs.middleRows<2>(row) = sides * across_axis * points[i].by_inputs;
    now.by_parameters.middleRows<2>(row) = sides * by;
  }
  return now;
}

// Where the point comes to lie on the line: its place along it is its own.
Traced foot_on(const Traced& on_line, const Traced& direction, const Traced& point) {
  const Traced out = point - on_line;
  const double along_mm = direction.value.dot(out.value);
  return {on_line.value + along_mm * direction.value,
          on_line.by_inputs + along_mm * direction.by_inputs +
              direction.value * (direction.value.transpose() * out.by_inputs +
                                 out.value.transpose() * direction.by_inputs)};
}

void require_length_on_tube(const std::vector<Traced>& points, const Vector3d& unit,
                            const std::string& what) {
  double least_mm = unit.dot(points.front().value), most_mm = least_mm;
  for (const Traced& point : points) {
    least_mm = std::min(least_mm, unit.dot(point.value));
    most_mm = std::max(most_mm, unit.dot(point.value));
  }
  if (most_mm - least_mm >= least_length_on_tube_mm) return;
  throw Problem(ProblemKind::refused,
                "The tags for " + what + " are only " + format_fixed(most_mm - least_mm, 0) +
                    " mm apart along it; " + format_fixed(least_length_on_tube_mm, 0) + " mm are needed.",
                "Stick one tag low and one high on it, as far apart as can be.");
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
  const PointInputs own = inputs_of(points, input_covariance);
  const auto at = [&](const VectorXd& p, const VectorXd& move) {
    return on_circle(own.points, tilted(unit, basis, p[0], p[1]), p, move);
  };
  const auto [fit, check] = fit_shape(at, circle_start(points, middle, basis), own.covariance);
  if (!fit.converged)
    throw Problem(ProblemKind::refused, "The ring's tags for " + what + " do not lie on a circle.",
                  "Check their numbers in the job file.");
  const Tilted axis = tilted(unit, basis, fit.parameters[0], fit.parameters[1]);
  MatrixXd by_points(6, own.covariance.rows());
  by_points << fit.by_inputs.middleRows<3>(2), axis.by_tilt * fit.by_inputs.topRows<2>();
  const MatrixXd by_inputs = by_points * own.by_inputs;
  return {{fit.parameters.segment<3>(2), by_inputs.topRows<3>()},
          {axis.unit, by_inputs.bottomRows<3>()},
          fit.parameters[5],
          check,
          scatter_of(by_points, check.scatter_mm)};
}

TubeLine line_through(const std::vector<Traced>& points, const MatrixXd& input_covariance,
                      const std::string& what) {
  if (points.size() < 2)
    throw Problem(ProblemKind::refused, "The axis for " + what + " has one tag; two make a line.",
                  "Stick a second tag further along the part.");
  const Vector3d middle = middle_of(points);
  Vector3d unit = spread_of(points, middle).axes.col(2);
  if (unit.dot(points.back().value - points.front().value) < 0.0) unit = -unit;
  require_length_on_tube(points, unit, what);
  const Across basis = across(unit);
  const PointInputs own = inputs_of(points, input_covariance);
  const auto on_line = [&](const VectorXd& p) -> Vector3d {
    return middle + p[2] * basis.first + p[3] * basis.second;
  };
  const auto at = [&](const VectorXd& p, const VectorXd& move) {
    return on_axis(own.points, on_line(p), basis, tilted(unit, basis, p[0], p[1]), move);
  };
  const auto [fit, check] = fit_shape(at, VectorXd::Zero(4), own.covariance);
  const Tilted axis = tilted(unit, basis, fit.parameters[0], fit.parameters[1]);
  const Traced direction{axis.unit, axis.by_tilt * fit.by_inputs.topRows<2>()};
  const Traced low = foot_on(
      {on_line(fit.parameters), basis.first * fit.by_inputs.row(2) + basis.second * fit.by_inputs.row(3)},
      direction, own.points.front());
  MatrixXd by_points(6, own.covariance.rows());
  by_points << low.by_inputs, direction.by_inputs;
  return {{low.value, low.by_inputs * own.by_inputs},
          {direction.value, direction.by_inputs * own.by_inputs},
          check,
          scatter_of(by_points, check.scatter_mm)};
}

// When a point moves by d, the normal turns against the share of d along it (first order, flat points).
Traced plane_through(const std::vector<Traced>& points, const Vector3d& outwards, const std::string& what,
                     double least_ratio) {
  if (points.size() < 3)
    throw Problem(
        ProblemKind::refused,
        "Only " + std::to_string(points.size()) + " tags are seen for " + what + "; three make a plane.",
        "Stick a third tag on the same face, and take two photos or more of all.");
  const Vector3d middle = middle_of(points);
  const Spread spread = spread_of(points, middle);
  if (spread.widths_mm[1] < least_ratio * spread.widths_mm[2])
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
