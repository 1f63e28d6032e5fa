// SPDX-License-Identifier: Apache-2.0
#include "locate/conditions.h"

#include <Eigen/Cholesky>
#include <Eigen/Eigenvalues>
#include <cmath>

#include "locate/traced.h"

namespace pivotfix {

namespace {

// Conditions that hang together by geometry make their covariance barely regular: a millionth of a
// millionth of its size keeps the factorisation alive and changes nothing that can be seen.
Eigen::LDLT<Eigen::MatrixXd> factored(const Conditions& conditions, const Eigen::MatrixXd& input_covariance) {
  Eigen::MatrixXd spread = conditions.by_inputs * input_covariance * conditions.by_inputs.transpose();
  spread.diagonal().array() *= 1.0 + 1e-12;
  spread.diagonal().array() += 1e-18;
  return spread.ldlt();
}

}  // namespace

ConditionFit fit_parameters(const ConditionsAt& at, const Eigen::VectorXd& start,
                            const Eigen::MatrixXd& input_covariance, const Eigen::VectorXd& expected_sigma) {
  ConditionFit fit;
  fit.parameters = start;
  Eigen::VectorXd tie = Eigen::VectorXd::Zero(start.size());
  for (Eigen::Index i = 0; i < expected_sigma.size(); ++i)
    if (expected_sigma[i] > 0.0) tie[i] = 1.0 / (expected_sigma[i] * expected_sigma[i]);
  Eigen::VectorXd move = Eigen::VectorXd::Zero(input_covariance.rows());
  constexpr int most_iterations = 30;
  for (int i = 0; i < most_iterations; ++i) {
    Conditions now = at(fit.parameters, move);
    now.miss -= now.by_inputs * move;
    const auto spread = factored(now, input_covariance);
    const Eigen::MatrixXd weighed = spread.solve(now.by_parameters);
    Eigen::MatrixXd normal_matrix = now.by_parameters.transpose() * weighed;
    normal_matrix.diagonal() += tie;
    const Eigen::LDLT<Eigen::MatrixXd> normal(normal_matrix);
    const Eigen::VectorXd step =
        -normal.solve(weighed.transpose() * now.miss + tie.cwiseProduct(fit.parameters - start));
    fit.by_inputs = -normal.solve(weighed.transpose() * now.by_inputs);
    const Eigen::MatrixXd by_ties = normal.solve(Eigen::MatrixXd(tie.asDiagonal()));
    fit.tie_covariance = by_ties *
                         tie.unaryExpr([](double t) { return t > 0.0 ? 1.0 / t : 0.0; }).asDiagonal() *
                         by_ties.transpose();
    fit.parameters += step;
    const Eigen::VectorXd left = now.miss + now.by_parameters * step;
    const Eigen::VectorXd weighed_left = spread.solve(left);
    fit.chi_square = left.dot(weighed_left);
    move = -input_covariance * (now.by_inputs.transpose() * weighed_left);
    fit.freedom = static_cast<int>(now.miss.size() - start.size());
    if (!step.allFinite()) break;
    if (step.cwiseAbs().maxCoeff() < 1e-8 * (1.0 + fit.parameters.cwiseAbs().maxCoeff())) {
      fit.converged = true;
      break;
    }
  }
  return fit;
}

ConditionedInputs hold(const Conditions& conditions, const Eigen::MatrixXd& input_covariance) {
  ConditionedInputs result;
  const auto spread = factored(conditions, input_covariance);
  const Eigen::MatrixXd reach = conditions.by_inputs * input_covariance;
  const Eigen::VectorXd weighed = spread.solve(conditions.miss);
  result.move = -reach.transpose() * weighed;
  result.covariance = input_covariance - reach.transpose() * spread.solve(reach);
  result.covariance = 0.5 * (result.covariance + result.covariance.transpose()).eval();
  result.chi_square = conditions.miss.dot(weighed);
  result.freedom = static_cast<int>(conditions.miss.size());
  return result;
}

// What is left, x, and the change, d - x, share the misses d by their size: x = S (S + t)^-1 d, with S the
// misses' covariance and t such that x has the chi-squared wanted. Found by halving the interval of log t.
double beyond_chance(const Conditions& conditions, const Eigen::MatrixXd& input_covariance) {
  const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> spread(conditions.by_inputs * input_covariance *
                                                              conditions.by_inputs.transpose());
  const Eigen::ArrayXd variances = spread.eigenvalues().array().max(1e-18);
  const Eigen::ArrayXd squares = (spread.eigenvectors().transpose() * conditions.miss).array().square();
  const auto freedom = static_cast<double>(conditions.miss.size());
  if ((squares / variances).sum() <= freedom) return 0.0;
  double low = std::log(1e-18), high = std::log(1e12);
  for (int i = 0; i < 60; ++i) {
    const double middle = 0.5 * (low + high);
    const double left = (squares * variances / (variances + std::exp(middle)).square()).sum();
    (left > freedom ? low : high) = middle;
  }
  const double share = std::exp(high);
  return std::sqrt((squares * (share / (variances + share)).square()).sum());
}

Eigen::MatrixXd held_by_inputs(const Conditions& conditions, const Eigen::MatrixXd& input_covariance) {
  const auto spread = factored(conditions, input_covariance);
  const Eigen::MatrixXd reach = conditions.by_inputs * input_covariance;
  Eigen::MatrixXd held = -reach.transpose() * spread.solve(conditions.by_inputs);
  held.diagonal().array() += 1.0;
  return held;
}

// Derivative of the logarithm: the inverse of the left Jacobian of rotations (Barfoot, State Estimation for
// Robotics, 2017, 7.1.5, from memory).
Traced rotation_vector(const TracedPose& pose) {
  const Eigen::AngleAxisd turn(pose.value.rotation);
  double angle = turn.angle();
  Eigen::Vector3d axis = turn.axis();
  if (angle > M_PI) {
    angle = 2.0 * M_PI - angle;
    axis = -axis;
  }
  const Eigen::Vector3d w = angle * axis;
  const Eigen::Matrix3d cross = cross_matrix(w);
  const double factor =
      angle < 1e-4 ? 1.0 / 12.0 : 1.0 / (angle * angle) - 0.5 / (angle * std::tan(0.5 * angle));
  const Eigen::Matrix3d jacobian = Eigen::Matrix3d::Identity() - 0.5 * cross + factor * cross * cross;
  return {w, jacobian * pose.by_inputs.bottomRows<3>()};
}

}  // namespace pivotfix
