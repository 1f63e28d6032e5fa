// SPDX-License-Identifier: Apache-2.0
// How much cars differ at each pivot, learned from all pivots together. Private to the pool stage and its
// tests.
//
// The few cars that there are tell little about a pivot's variance. Where the pivots' variances look alike,
// each is worth more when it is drawn towards the others': v_p is taken as drawn from one scaled inverse chi
// square for all pivots, whose scale s0^2 and degrees of freedom d0 come from the mean and the variance of
// log v_p (moderated variances: Smyth, "Linear Models and Empirical Bayes Methods for Assessing Differential
// Expression in Microarray Experiments", Statistical Applications in Genetics and Molecular Biology 3, 2004,
// from memory):
//   (d0 s0^2 + d_p v_p) / (d0 + d_p), with d0 + d_p degrees of freedom.
// Where they look unlike, d0 is small and each stays what it is. Digamma and trigamma are taken as log x -
// 1/(2 x) and 1/(x - 1/2), which is within 2 % from four cars on, within 5 % of a pivot on a line.
#pragma once

#include <Eigen/Core>

namespace pivotfix {

struct SharedScatter {
  Eigen::VectorXd scatter_mm2{};  // of each pivot, drawn towards the others'
  Eigen::VectorXd freedom{};      // degrees of freedom that it is worth
};

// `scatter_mm2` is tau^2 of each pivot, of `freedom` degrees (at least 3 each); `measuring_mm2` is what
// measuring adds, v_p = measuring + tau^2, positive. Pivots that were measured unlike are brought together by
// what their v_p would be if all had the same tau^2. Needs two pivots or more.
SharedScatter share_scatter(const Eigen::VectorXd& scatter_mm2, const Eigen::VectorXd& measuring_mm2,
                            const Eigen::VectorXd& freedom);

}  // namespace pivotfix
