// SPDX-License-Identifier: Apache-2.0
// Have points moved between two measurements, or does their uncertainty explain the difference?
//
// All together: the congruence test of deformation analysis (Pelzer, "Zur Analyse geodätischer
// Deformationsmessungen", Deutsche Geodätische Kommission C 164, 1971; Niemeier, "Ausgleichungsrechnung",
// 2008; from memory): d' C^-1 d against chi square with the rank of C. Point by point: d_i' C_ii^-1 d_i.
//
// So many tests must not each raise false alarms, and points of one network err together. Each figure's
// chance is therefore that of one as rare among all of them when nothing moved, by their joint distribution;
// points that surely moved do not count among "all" for the next ones (step-down "min P": Westfall and Young,
// "Resampling-Based Multiple Testing", 1993, from memory). The joint distribution comes from random
// directions of the error with a fixed seed, the error's size being integrated exactly (Deák, "Three Digit
// Accurate Multiple Normal Probabilities", Numerische Mathematik 35, 1980, from memory).
#pragma once

#include <Eigen/Core>
#include <vector>

namespace pivotfix {

enum class Movement {
  none,     // chance explains it
  perhaps,  // chance would seldom explain it if only this one were looked at
  surely,   // chance would seldom explain it anywhere in the whole set
};

struct Verdict {
  double statistic = 0.0;  // chi square
  int freedom = 0;
  double alone = 1.0;        // probability of one as large when nothing moved, if only this one is looked at
  double probability = 1.0;  // of one as rare anywhere in the set when nothing moved
  Movement movement = Movement::none;
};

struct Congruence {
  Verdict together{};  // the congruence test; its own alarms count among those of the set
  std::vector<Verdict> parts{};
};

// `sizes` says how many coordinates of `shift_mm` belong to each part, one after the other: three for a
// point, one for a known direction. `covariance_mm2` is that of the shift; directions without uncertainty
// take no part. Throws Problem(input) for a share of false alarms outside 0.0001 to 0.5.
Congruence judge_congruence(const Eigen::VectorXd& shift_mm, const Eigen::MatrixXd& covariance_mm2,
                            const std::vector<Eigen::Index>& sizes, double false_alarms);

}  // namespace pivotfix
