// SPDX-License-Identifier: Apache-2.0
// Conditions between uncertain inputs, with or without unknown parameters: the general case of least squares
// (Gauss-Helmert model; Mikhail, Observations and Least Squares, 1976, chapter 9, from memory). Private to
// the locate stage and its tests.
#pragma once

#include <Eigen/Core>
#include <functional>

namespace pivotfix {

// Standard normal deviate beyond which misses are doubtful: chance explains them less than once in a
// thousand.
inline constexpr double doubtful_deviate = 3.1;

// Each row says: miss = 0 for the true inputs and parameters.
struct Conditions {
  Eigen::VectorXd miss{};
  Eigen::MatrixXd by_parameters{};  // no columns when there are none
  Eigen::MatrixXd by_inputs{};
};

struct ConditionFit {
  Eigen::VectorXd parameters{};
  Eigen::MatrixXd by_inputs{};  // of the parameters
  // What the loose ties leave of their own spread: covariance that no input explains.
  Eigen::MatrixXd tie_covariance{};
  double chi_square = 0.0;  // of the misses that are left
  int freedom = 0;          // conditions minus parameters
  bool converged = false;
};

// Parameters that miss the conditions least, weighed by the misses' covariance. `at` gives the conditions
// with these parameters, when the inputs move from where they are by that much: misses are judged at the
// corrected inputs, otherwise noise in the inputs would pass for knowledge of a parameter. `expected_sigma`
// (none, or one per parameter, zero for none) ties parameters loosely to the start, so that one that the
// conditions leave open stays within reason; how far it may then be off is in `tie_covariance`.
using ConditionsAt =
    std::function<Conditions(const Eigen::VectorXd& parameters, const Eigen::VectorXd& input_move)>;
ConditionFit fit_parameters(const ConditionsAt& at, const Eigen::VectorXd& start,
                            const Eigen::MatrixXd& input_covariance,
                            const Eigen::VectorXd& expected_sigma = {});

// By how much the inputs move, and what is left of their covariance, when the conditions hold.
struct ConditionedInputs {
  Eigen::VectorXd move{};
  Eigen::MatrixXd covariance{};
  double chi_square = 0.0;
  int freedom = 0;
};
ConditionedInputs hold(const Conditions& conditions, const Eigen::MatrixXd& input_covariance);

// Length of the shortest change of the misses that makes them no larger than chance does (chi-squared as
// large as there are misses), derived; zero when they are not larger. Misses that the inputs leave open count
// for nothing in it.
double beyond_chance(const Conditions& conditions, const Eigen::MatrixXd& input_covariance);

// The inputs as they hold, by the inputs before: what `hold` does, as a matrix.
Eigen::MatrixXd held_by_inputs(const Conditions& conditions, const Eigen::MatrixXd& input_covariance);

}  // namespace pivotfix
