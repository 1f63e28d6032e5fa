// SPDX-License-Identifier: Apache-2.0
#include "advice/sampled_height.h"

#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cmath>
#include <optional>

#include "advice/height_search.h"
#include "base/draws.h"
#include "base/problem.h"

namespace pivotfix {
namespace {

using Eigen::Index;
using Eigen::VectorXd;

constexpr int pairs = 4;
constexpr double largest_unexplained = 0.1;  // of the standard uncertainty
constexpr int all_draws = 1000;              // give the standard uncertainty to some 2 %
constexpr unsigned seed = 103;               // the same draws each time: the same bytes out

// Draws a corner's points around where they are. Searches start from the best height: it is near every
// draw's.
class Draws {
 public:
  Draws(const Corner& corner, const Driving& driving, double best_height_mm)
      : corner_(with_rod_end_height(without_covariance(corner), best_height_mm)),
        best_height_mm_(best_height_mm),
        driving_(driving) {
    const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> parts(corner.covariance_mm2);
    root_ = parts.eigenvectors() * parts.eigenvalues().cwiseMax(0.0).cwiseSqrt().asDiagonal();
  }

  VectorXd offset_mm() {
    VectorXd deviates(root_.cols());
    for (double& deviate : deviates) deviate = deviates_();
    return root_ * deviates;
  }

  // Nothing where such a corner cannot move, moves only where travel has no weight, or no height cures it.
  std::optional<double> height_mm(const VectorXd& offset_mm) const {
    Corner moved = corner_;
    for (std::size_t i = 0; i < moved.points.size(); ++i)
      moved.points[i].position_vehicle_mm += offset_mm.segment<3>(static_cast<Index>(3 * i));
    try {
      const BestHeight best = best_height(moved, driving_);
      if (best.found) return best_height_mm_ + best.height_mm;
    } catch (const Problem& problem) {
      if (problem.kind() == ProblemKind::internal) throw;
    }
    return std::nullopt;
  }

 private:
  Corner corner_;  // at the best height
  double best_height_mm_;
  const Driving& driving_;
  Eigen::MatrixXd root_;
  NormalDraws deviates_{seed};
};

}  // namespace

bool derivatives_suffice(const Corner& corner, const Driving& driving, const BestHeight& best) {
  if (!best.found || !(best.sigma_mm > 0.0)) return true;
  Draws draws(corner, driving, best.height_mm);
  double squares_mm2 = 0.0;
  for (int i = 0; i < pairs; ++i) {
    const VectorXd offset_mm = draws.offset_mm();
    for (const double sign : {1.0, -1.0}) {
      const std::optional<double> height_mm = draws.height_mm(sign * offset_mm);
      if (!height_mm) return false;
      const double by_derivatives_mm = best.height_mm + sign * best.by_coordinate.dot(offset_mm);
      squares_mm2 += std::pow(*height_mm - by_derivatives_mm, 2);
    }
  }
  return std::sqrt(squares_mm2 / (2.0 * pairs)) < largest_unexplained * best.sigma_mm;
}

HeightDraws draw_heights(const Corner& corner, const Driving& driving, const BestHeight& best) {
  Draws draws(corner, driving, best.height_mm);
  std::vector<double> heights_mm;
  HeightDraws result;
  double squares_mm2 = 0.0;
  for (result.draws = 0; result.draws < all_draws; ++result.draws) {
    const std::optional<double> height_mm = draws.height_mm(draws.offset_mm());
    if (!height_mm) continue;
    heights_mm.push_back(*height_mm);
    squares_mm2 += std::pow(*height_mm - best.height_mm, 2);
  }
  result.without_height = result.draws - static_cast<int>(heights_mm.size());
  if (heights_mm.empty()) return result;
  std::sort(heights_mm.begin(), heights_mm.end());
  const double last = static_cast<double>(heights_mm.size() - 1);
  result.sigma_mm = std::sqrt(squares_mm2 / static_cast<double>(heights_mm.size()));
  result.low_mm = heights_mm[static_cast<std::size_t>(std::lround(0.025 * last))];
  result.high_mm = heights_mm[static_cast<std::size_t>(std::lround(0.975 * last))];
  return result;
}

}  // namespace pivotfix
