// SPDX-License-Identifier: Apache-2.0
#include "bundle/bundle.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>

#include "bundle/normal_equations.h"

namespace pivotfix {

namespace {

// What a step changes, to go back to when it was a bad one.
struct Unknowns {
  std::vector<BundleStation> stations;
  std::vector<BundleTarget> targets;
  std::vector<BundleSize> sizes;
  std::vector<BundleLens> lenses;

  explicit Unknowns(const Bundle& bundle)
      : stations(bundle.stations), targets(bundle.targets), sizes(bundle.sizes), lenses(bundle.lenses) {}

  void restore(Bundle& bundle) const {
    bundle.stations = stations;
    bundle.targets = targets;
    bundle.sizes = sizes;
    bundle.lenses = lenses;
  }
};

// Levenberg and Marquardt's damping, enlarged by a growing factor while steps fail and taken back when they
// succeed (Nielsen, "Damping Parameter in Marquardt's Method", 1999, from memory). Plain rounds start near
// enough for none.
class Damping {
 public:
  explicit Damping(double first) : value_(first) {}

  double value() const { return value_; }

  bool raise() {
    value_ = std::max(value_, least_) * growth_;
    growth_ *= 2.0;
    return value_ < 1e8;
  }

  void lower() {
    value_ *= 0.1;
    if (value_ < least_) value_ = 0.0;
    growth_ = 10.0;
  }

 private:
  static constexpr double least_ = 1e-8;
  double value_, growth_ = 10.0;
};

// A weak direction, as of the principal point against the camera's turn, is a curved valley: a whole step
// leads the right way, only too far. Whether a half of it, or of that, gains; the equations are then
// linearised there.
bool take_shorter(AdjustmentStep step, const Unknowns& before, double cost, const BundleOptions& options,
                  NormalEquations& equations, Bundle& bundle) {
  constexpr int most_halvings = 6;
  for (int halving = 0; halving < most_halvings; ++halving) {
    step.rest *= 0.5;
    for (StationVector& own : step.stations) own *= 0.5;
    before.restore(bundle);
    equations.apply(step, bundle);
    equations.linearise(options.robust_scale);
    if (equations.cost() < cost) return true;
  }
  return false;
}

BundleSummary minimise(NormalEquations& equations, Bundle& bundle, const BundleOptions& options) {
  constexpr double robust_damping = 1e-7;
  equations.linearise(options.robust_scale);
  Damping damping(options.robust_scale > 0.0 ? robust_damping : 0.0);
  BundleSummary summary{false, 0, equations.cost()};
  while (summary.iterations < options.most_iterations) {
    ++summary.iterations;
    if (!equations.factor(damping.value())) {
      if (!damping.raise()) break;
      continue;
    }
    const AdjustmentStep step = equations.step();
    const Unknowns before(bundle);
    equations.apply(step, bundle);
    // The last step gains next to nothing, and is taken without asking what is left: with no damping the
    // error is squared once more.
    if (step.expected_gain <= options.smallest_gain * summary.cost) {
      summary.converged = true;
      summary.cost -= step.expected_gain;
      break;
    }
    equations.linearise(options.robust_scale);
    if (equations.cost() < summary.cost) {
      summary.cost = equations.cost();
      damping.lower();
      continue;
    }
    if (damping.value() == 0.0 && take_shorter(step, before, summary.cost, options, equations, bundle)) {
      summary.cost = equations.cost();
      continue;
    }
    before.restore(bundle);
    equations.linearise(options.robust_scale);
    if (!damping.raise()) break;
  }
  return summary;
}

}  // namespace

Eigen::MatrixXd BundleLens::square_root_of_knowledge() const {
  std::vector<int> known;
  for (int i = 0; i < lens_parameter_count && calibrated(); ++i)
    if (expected_covariance(i, i) > 0.0) known.push_back(i);
  // Scaled to correlations: the variances differ by ten orders of magnitude.
  const auto count = static_cast<Eigen::Index>(known.size());
  Eigen::VectorXd sigma(count);
  for (Eigen::Index i = 0; i < count; ++i) sigma[i] = std::sqrt(expected_covariance(known[i], known[i]));
  Eigen::MatrixXd correlation(count, count);
  for (Eigen::Index a = 0; a < count; ++a)
    for (Eigen::Index b = 0; b < count; ++b)
      correlation(a, b) = expected_covariance(known[a], known[b]) / (sigma[a] * sigma[b]);
  const Eigen::MatrixXd whitened =
      correlation.llt().matrixL().solve(Eigen::MatrixXd(sigma.cwiseInverse().asDiagonal()));
  Eigen::MatrixXd result = Eigen::MatrixXd::Zero(count, lens_parameter_count);
  for (Eigen::Index i = 0; i < count; ++i) result.col(known[i]) = whitened.col(i);
  return result;
}

BundleSummary adjust(Bundle& bundle, const BundleOptions& options) {
  NormalEquations equations(bundle, options.lenses_held);
  return minimise(equations, bundle, options);
}

BundleCovariance adjust_with_covariance(Bundle& bundle, const BundleOptions& options) {
  NormalEquations equations(bundle, options.lenses_held);
  const BundleSummary summary = minimise(equations, bundle, options);
  if (!summary.converged || options.robust_scale > 0.0) equations.linearise(0.0);
  BundleCovariance found = equations.covariance();
  found.converged = summary.converged;
  return found;
}

}  // namespace pivotfix
