// SPDX-License-Identifier: Apache-2.0
#include "locate/motion.h"

#include <Eigen/Eigenvalues>
#include <Eigen/SVD>
#include <algorithm>
#include <cmath>

#include "base/chance.h"
#include "base/problem.h"
#include "base/units.h"
#include "locate/unit_direction.h"

namespace pivotfix {

namespace {

using Eigen::Index;
using Eigen::Matrix3d;
using Eigen::MatrixXd;
using Eigen::Vector3d;
using Eigen::VectorXd;

constexpr double least_turn_rad = 2.0 * rad_per_deg;
constexpr double least_slide_mm = 20.0;
// A joint is not further than this from where the search starts, in directions that the motion leaves open.
constexpr double reach_mm = 300.0;

double turn_rad(const RelativeMotion& motion) {
  return Eigen::AngleAxisd(motion.moved.value.rotation).angle();
}

double widest_turn_rad(const std::vector<RelativeMotion>& motions) {
  double widest = 0.0;
  for (const RelativeMotion& motion : motions) widest = std::max(widest, turn_rad(motion));
  return widest;
}

void require_sets(const std::vector<RelativeMotion>& motions, std::size_t least, const std::string& what) {
  if (motions.size() >= least) return;
  throw Problem(ProblemKind::refused,
                "The motion for " + what + " is seen at " + std::to_string(motions.size() + 1) +
                    (motions.empty() ? " height; " : " heights; ") + std::to_string(least + 1) +
                    " are the least.",
                "Take photos at more heights of the wheel, with tags of both parts and of the body in each.");
}

void require_turn(const std::vector<RelativeMotion>& motions, const std::string& what) {
  const double widest = widest_turn_rad(motions);
  if (widest >= least_turn_rad) return;
  throw Problem(ProblemKind::refused,
                "The heights are too close together for " + what + ": the part turned by " +
                    format_fixed(deg_from_rad(widest), 1) + " degrees at most; " +
                    format_fixed(deg_from_rad(least_turn_rad), 0) + " are needed.",
                "Add photos with the wheel 20 mm and 40 mm higher and lower.");
}

void require_converged(const ConditionFit& fit, const std::string& what) {
  if (fit.converged && fit.by_inputs.allFinite()) return;
  throw Problem(ProblemKind::refused, "The motion does not tell where " + what + " is.",
                "Add heights further apart, or mark it with a tag instead.");
}

// A point that all motions leave in place as far as they tell, otherwise as near as can be to `near_mm`.
Vector3d start_point(const std::vector<RelativeMotion>& motions, const Vector3d& near_mm) {
  MatrixXd turns(3 * motions.size(), 3);
  VectorXd misses(3 * motions.size());
  for (std::size_t i = 0; i < motions.size(); ++i) {
    const RigidTransform& moved = motions[i].moved.value;
    turns.middleRows<3>(3 * i) = moved.rotation.toRotationMatrix() - Matrix3d::Identity();
    misses.segment<3>(3 * i) = near_mm - moved * near_mm;
  }
  Eigen::JacobiSVD<MatrixXd> parts(turns, Eigen::ComputeThinU | Eigen::ComputeThinV);
  parts.setThreshold(0.1);
  return near_mm + parts.solve(misses);
}

// The check; by how much the place is less certain when the joint misses by more than noise.
MotionCheck check_of(const ConditionFit& fit) {
  MotionCheck check{fit.chi_square, fit.freedom};
  if (fit.freedom <= 0) return check;
  check.doubtful = normal_deviate(fit.chi_square, fit.freedom) > doubtful_deviate;
  if (check.doubtful) check.widening = std::sqrt(fit.chi_square / fit.freedom);
  return check;
}

// Rows of a 2-vector: components across an axis of what `vector` holds.
void put_across(const Across& basis, const Traced& vector, Index row, Conditions& into) {
  into.miss[row] = basis.first.dot(vector.value);
  into.miss[row + 1] = basis.second.dot(vector.value);
  into.by_inputs.row(row) = basis.first.transpose() * vector.by_inputs;
  into.by_inputs.row(row + 1) = basis.second.transpose() * vector.by_inputs;
}

// How far `moved` takes a fixed point from its place.
Traced slip(const TracedPose& moved, const Vector3d& point_mm) {
  const Traced still{point_mm, MatrixXd::Zero(3, moved.by_inputs.cols())};
  Traced away = moved * still;
  away.value -= point_mm;
  return away;
}

}  // namespace

WeakDirection weakest_in(const Matrix3d& covariance_mm2) {
  const Eigen::SelfAdjointEigenSolver<Matrix3d> axes(covariance_mm2);
  return {axes.eigenvectors().col(2), std::sqrt(std::max(0.0, axes.eigenvalues()[2]))};
}

WeakDirection weakest(const Traced& point, const MatrixXd& input_covariance, const Matrix3d& open_mm2) {
  return weakest_in(point.by_inputs * input_covariance * point.by_inputs.transpose() + open_mm2);
}

SharedPoint shared_point(const std::vector<RelativeMotion>& motions, const Vector3d& near_mm,
                         const MatrixXd& input_covariance, const std::string& what) {
  require_sets(motions, 2, what);
  require_turn(motions, what);
  const Index inputs = input_covariance.rows();
  const auto rows = static_cast<Index>(3 * motions.size());
  const auto at = [&](const VectorXd& point_mm, const VectorXd& move) {
    Conditions now{VectorXd(rows), MatrixXd(rows, 3), MatrixXd(rows, inputs)};
    for (std::size_t i = 0; i < motions.size(); ++i) {
      const TracedPose moved = at_moved_inputs(motions[i].moved, move);
      const Traced away = slip(moved, point_mm);
      now.miss.segment<3>(3 * i) = away.value;
      now.by_inputs.middleRows<3>(3 * i) = away.by_inputs;
      now.by_parameters.middleRows<3>(3 * i) = moved.value.rotation.toRotationMatrix() - Matrix3d::Identity();
    }
    return now;
  };
  const ConditionFit fit =
      fit_parameters(at, start_point(motions, near_mm), input_covariance, Vector3d::Constant(reach_mm));
  require_converged(fit, what);
  return {{fit.parameters, fit.by_inputs}, fit.tie_covariance, check_of(fit)};
}

TurningAxis turning_axis(const std::vector<RelativeMotion>& motions, const Vector3d& near_mm,
                         const MatrixXd& input_covariance, const std::string& what) {
  require_sets(motions, 1, what);
  require_turn(motions, what);
  const Index inputs = input_covariance.rows();
  const auto widest = std::max_element(
      motions.begin(), motions.end(), [](const auto& a, const auto& b) { return turn_rad(a) < turn_rad(b); });
  const Vector3d unit = rotation_vector(widest->moved).value.normalized();
  const Across basis = across(unit);
  const Vector3d start_mm = start_point({*widest}, near_mm);
  const auto rows = static_cast<Index>(5 * motions.size());
  // Parameters: two tilts of the axis, two shifts of its point across it. The turns' vectors lie along it,
  // and its point stays.
  const auto at = [&](const VectorXd& p, const VectorXd& move) {
    const Tilted axis = tilted(unit, basis, p[0], p[1]);
    Conditions now{VectorXd(rows), MatrixXd::Zero(rows, 4), MatrixXd(rows, inputs)};
    for (std::size_t i = 0; i < motions.size(); ++i) {
      const auto row = static_cast<Index>(5 * i);
      const TracedPose moved = at_moved_inputs(motions[i].moved, move);
      const Traced turn = rotation_vector(moved);
      const Matrix3d across_axis = Matrix3d::Identity() - axis.unit * axis.unit.transpose();
      const double along = axis.unit.dot(turn.value);
      put_across(basis, {across_axis * turn.value, across_axis * turn.by_inputs}, row, now);
      for (int k = 0; k < 2; ++k) {
        const Vector3d by_tilt =
            -axis.by_tilt.col(k).dot(turn.value) * axis.unit - along * axis.by_tilt.col(k);
        now.by_parameters(row, k) = basis.first.dot(by_tilt);
        now.by_parameters(row + 1, k) = basis.second.dot(by_tilt);
      }
      const Traced away = slip(moved, start_mm + p[2] * basis.first + p[3] * basis.second);
      const Matrix3d by_point = moved.value.rotation.toRotationMatrix() - Matrix3d::Identity();
      now.miss.segment<3>(row + 2) = away.value;
      now.by_inputs.middleRows<3>(row + 2) = away.by_inputs;
      now.by_parameters.block<3, 1>(row + 2, 2) = by_point * basis.first;
      now.by_parameters.block<3, 1>(row + 2, 3) = by_point * basis.second;
    }
    return now;
  };
  const ConditionFit fit = fit_parameters(at, VectorXd::Zero(4), input_covariance);
  require_converged(fit, what);
  const Tilted axis = tilted(unit, basis, fit.parameters[0], fit.parameters[1]);
  TurningAxis result;
  result.point = {start_mm + fit.parameters[2] * basis.first + fit.parameters[3] * basis.second,
                  basis.first * fit.by_inputs.row(2) + basis.second * fit.by_inputs.row(3)};
  result.direction = {axis.unit, axis.by_tilt * fit.by_inputs.topRows<2>()};
  result.check = check_of(fit);
  return result;
}

SlidingAxis sliding_axis(const std::vector<RelativeMotion>& motions, const Vector3d& near_mm,
                         const Vector3d& along, const MatrixXd& input_covariance, const std::string& what) {
  require_sets(motions, 3, what);
  // As the knuckle sees it, the body's mount slides along the axis.
  std::vector<TracedPose> back;
  double slide_mm = 0.0;
  for (const RelativeMotion& motion : motions) {
    back.push_back(motion.moved.inverse());
    slide_mm = std::max(slide_mm, (back.back().value * near_mm - near_mm).norm());
  }
  if (slide_mm < least_slide_mm)
    throw Problem(ProblemKind::refused,
                  "The heights are too close together for " + what + ": the strut slid by " +
                      format_fixed(slide_mm, 0) + " mm at most; " + format_fixed(least_slide_mm, 0) +
                      " are needed.",
                  "Add photos with the wheel 20 mm and 40 mm higher and lower.");
  const Index inputs = input_covariance.rows();
  const Vector3d unit = along.normalized();
  const Across basis = across(unit);
  const auto rows = static_cast<Index>(2 * motions.size());
  // Parameters: the mount, two tilts of the axis.
  const auto at = [&](const VectorXd& p, const VectorXd& move) {
    const Vector3d mount_mm = p.head<3>();
    const Tilted axis = tilted(unit, basis, p[3], p[4]);
    const Matrix3d across_axis = Matrix3d::Identity() - axis.unit * axis.unit.transpose();
    Conditions now{VectorXd(rows), MatrixXd(rows, 5), MatrixXd(rows, inputs)};
    for (std::size_t i = 0; i < back.size(); ++i) {
      const auto row = static_cast<Index>(2 * i);
      const TracedPose moved = at_moved_inputs(back[i], move);
      const Traced away = slip(moved, mount_mm);
      put_across(basis, {across_axis * away.value, across_axis * away.by_inputs}, row, now);
      Eigen::Matrix<double, 3, 5> by;
      by.leftCols<3>() = across_axis * (moved.value.rotation.toRotationMatrix() - Matrix3d::Identity());
      for (int k = 0; k < 2; ++k)
        by.col(3 + k) = -axis.by_tilt.col(k).dot(away.value) * axis.unit -
                        axis.unit.dot(away.value) * axis.by_tilt.col(k);
      now.by_parameters.row(row) = basis.first.transpose() * by;
      now.by_parameters.row(row + 1) = basis.second.transpose() * by;
    }
    return now;
  };
  VectorXd start(5), expected_sigma(5);
  start << near_mm, 0.0, 0.0;
  expected_sigma << Vector3d::Constant(reach_mm), 0.0, 0.0;
  const ConditionFit fit = fit_parameters(at, start, input_covariance, expected_sigma);
  require_converged(fit, what);
  const Tilted axis = tilted(unit, basis, fit.parameters[3], fit.parameters[4]);
  SlidingAxis result;
  result.mount = {fit.parameters.head<3>(), fit.by_inputs.topRows<3>()};
  result.direction = {axis.unit, axis.by_tilt * fit.by_inputs.bottomRows<2>()};
  Eigen::Matrix<double, 6, 5> by_parameters = Eigen::Matrix<double, 6, 5>::Zero();
  by_parameters.topLeftCorner<3, 3>().setIdentity();
  by_parameters.bottomRightCorner<3, 2>() = axis.by_tilt;
  result.open = by_parameters * fit.tie_covariance * by_parameters.transpose();
  result.check = check_of(fit);
  return result;
}

}  // namespace pivotfix
