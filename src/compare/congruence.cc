// SPDX-License-Identifier: Apache-2.0
#include "compare/congruence.h"

#include <Eigen/Eigenvalues>
#include <Eigen/QR>
#include <algorithm>
#include <numeric>

#include "base/chi_square.h"
#include "base/draws.h"
#include "base/problem.h"

namespace pivotfix {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr Index direction_count = 2000;
constexpr double no_share = 1e-12;       // of the largest eigenvalue: rounding, not uncertainty
constexpr double least_chance = 1e-200;  // all below is alike
constexpr double bound_is_near = 2e-3;

// Directions that have uncertainty, and its root.
struct Spread {
  MatrixXd directions{};  // orthonormal columns
  VectorXd sigma{};

  explicit Spread(const MatrixXd& covariance) {
    const Eigen::SelfAdjointEigenSolver<MatrixXd> eigen(covariance);
    const VectorXd& values = eigen.eigenvalues();
    Index none = 0;
    while (none < values.size() &&
           !(values[none] > no_share * values[values.size() - 1] && values[none] > 0.0))
      ++none;
    directions = eigen.eigenvectors().rightCols(values.size() - none);
    sigma = values.tail(values.size() - none).cwiseSqrt();
  }
  Index rank() const { return sigma.size(); }
  MatrixXd root() const { return directions * sigma.asDiagonal(); }
  // Makes errors standard and independent.
  MatrixXd whitener() const { return sigma.cwiseInverse().asDiagonal() * directions.transpose(); }
};

// One test: a part, or everything together.
struct Test {
  Verdict* verdict = nullptr;
  VectorXd shares{};  // of the squared size of the standard error, for each direction
};

Test test_of(const Spread& spread, const VectorXd& shift_mm, const MatrixXd& root, const MatrixXd& directions,
             Verdict& verdict) {
  const MatrixXd whitener = spread.whitener();
  verdict.freedom = static_cast<int>(spread.rank());
  verdict.statistic = (whitener * shift_mm).squaredNorm();
  verdict.alone = std::max(chi_square_probability(verdict.statistic, verdict.freedom), least_chance);
  return {&verdict, (whitener * root * directions).colwise().squaredNorm().transpose()};
}

// Unit vectors, one in each column: whole random bases, which cover the space more evenly.
MatrixXd random_directions(Index size) {
  NormalDraws draws(20240229);
  const Index bases = (direction_count + size - 1) / size;
  MatrixXd directions(size, bases * size), normal(size, size);
  for (Index i = 0; i < bases; ++i) {
    for (double& value : normal.reshaped()) value = draws();
    directions.middleCols(i * size, size) = Eigen::HouseholderQR<MatrixXd>(normal).householderQ();
  }
  return directions;
}

// Of a test as rare as `alone` among these when nothing moved. Far out the directions that matter are seldom
// drawn, and there Bonferroni's bound is near.
double joint_chance(double alone, const std::vector<Test>& tests, std::size_t first, int freedom) {
  const double bound = alone * static_cast<double>(tests.size() - first);
  if (bound < bound_is_near || alone >= 1.0) return std::min(1.0, bound);
  VectorXd reach = VectorXd::Zero(tests[first].shares.size());
  for (std::size_t i = first; i < tests.size(); ++i)
    reach = reach.cwiseMax(tests[i].shares / chi_square_at(alone, tests[i].verdict->freedom));
  double sum = 0.0;
  for (const double one : reach) sum += chi_square_probability(1.0 / one, freedom);
  return std::min({1.0, bound, sum / static_cast<double>(reach.size())});
}

// From the rarest test on; one that is rarer than its forerunner must not seem likelier.
void judge_together(std::vector<Test>& tests, int freedom, double false_alarms) {
  std::stable_sort(tests.begin(), tests.end(),
                   [](const Test& a, const Test& b) { return a.verdict->alone < b.verdict->alone; });
  double chance_before = 0.0;
  for (std::size_t i = 0; i < tests.size(); ++i) {
    Verdict& verdict = *tests[i].verdict;
    verdict.probability = std::max(chance_before, joint_chance(verdict.alone, tests, i, freedom));
    chance_before = verdict.probability;
    if (verdict.probability <= false_alarms)
      verdict.movement = Movement::surely;
    else if (verdict.alone <= false_alarms)
      verdict.movement = Movement::perhaps;
  }
}

}  // namespace

Congruence judge_congruence(const VectorXd& shift_mm, const MatrixXd& covariance_mm2,
                            const std::vector<Index>& sizes, double false_alarms) {
  if (!(false_alarms >= 0.0001 && false_alarms <= 0.5))
    throw Problem(ProblemKind::input, "The share of false alarms must lie between 0.0001 and 0.5.",
                  "Common is 0.05.");
  Congruence result;
  result.parts.resize(sizes.size());
  const Spread all(covariance_mm2);
  if (all.rank() == 0) return result;
  const MatrixXd root = all.root(), directions = random_directions(all.rank());
  std::vector<Test> tests{test_of(all, shift_mm, root, directions, result.together)};
  Index at = 0;
  for (std::size_t i = 0; i < sizes.size(); at += sizes[i], ++i) {
    const Spread spread(covariance_mm2.block(at, at, sizes[i], sizes[i]));
    if (spread.rank() > 0)
      tests.push_back(test_of(spread, shift_mm.segment(at, sizes[i]), root.middleRows(at, sizes[i]),
                              directions, result.parts[i]));
  }
  judge_together(tests, result.together.freedom, false_alarms);
  return result;
}

}  // namespace pivotfix
