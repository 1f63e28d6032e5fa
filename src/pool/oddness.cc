// SPDX-License-Identifier: Apache-2.0
#include "pool/oddness.h"

#include <Eigen/Eigenvalues>
#include <algorithm>
#include <utility>

#include "base/draws.h"
#include "pool/deletion.h"

namespace pivotfix {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

MatrixXd root_of(const MatrixXd& covariance) {
  const Eigen::SelfAdjointEigenSolver<MatrixXd> eigen(covariance);
  return eigen.eigenvectors() * eigen.eigenvalues().cwiseMax(0.0).cwiseSqrt().asDiagonal();
}

double share_beyond(const std::vector<double>& ascending, double figure) {
  const auto below = std::lower_bound(ascending.begin(), ascending.end(), figure) - ascending.begin();
  return 1.0 - static_cast<double>(below) / static_cast<double>(ascending.size());
}

// The largest figures of the pool and of pools of like cars, both ways.
class ByChance {
 public:
  void add(const Deletion& deletion) {
    worst_.push_back(deletion.squares.maxCoeff());
    together_.push_back(deletion.together.maxCoeff());
  }
  void rank() {
    const std::vector<double> worst = worst_, together = together_;
    std::sort(worst_.begin(), worst_.end());
    std::sort(together_.begin(), together_.end());
    for (std::size_t i = 0; i < worst.size(); ++i) rarities_.push_back(rarity(worst[i], together[i]));
    std::sort(rarities_.begin(), rarities_.end());
  }
  // Of a car as odd as this among like cars.
  double probability(double worst, double together) const {
    const auto reached = std::upper_bound(rarities_.begin(), rarities_.end(), rarity(worst, together));
    return static_cast<double>(reached - rarities_.begin()) / static_cast<double>(rarities_.size());
  }

 private:
  using Rarity = std::pair<double, double>;  // of the rarer figure; of the other one, where that is the same

  Rarity rarity(double worst, double together) const {
    return std::minmax({share_beyond(worst_, worst), share_beyond(together_, together)});
  }

  std::vector<double> worst_{}, together_{};  // ascending when ranked
  std::vector<Rarity> rarities_{};
};

void draw_like_cars(const std::vector<MatrixXd>& covariances_mm2, const VectorXd& scatter_mm2,
                    const DeleteEachCar& delete_each, int count, std::uint64_t seed, ByChance& chance) {
  std::vector<MatrixXd> roots;
  const Index size = covariances_mm2.front().rows();
  for (MatrixXd covariance : covariances_mm2) {
    for (Index c = 0; c < size; ++c) covariance(c, c) += scatter_mm2[c / 3];
    roots.push_back(root_of(covariance));
  }
  NormalDraws draws(seed);
  MatrixXd coordinates(size, static_cast<Index>(roots.size()));
  VectorXd standard(size);
  for (int i = 0; i < count; ++i) {
    for (Index car = 0; car < coordinates.cols(); ++car) {
      for (double& value : standard) value = draws();
      coordinates.col(car) = roots[static_cast<std::size_t>(car)] * standard;
    }
    chance.add(delete_each(coordinates));
  }
}

}  // namespace

std::vector<CarOddness> judge_oddness(const std::vector<CarPoints>& cars, const VectorXd& scatter_mm2,
                                      int draws, std::uint64_t seed) {
  std::vector<MatrixXd> covariances_mm2;
  MatrixXd coordinates_mm(cars.front().coordinates_mm.size(), static_cast<Index>(cars.size()));
  for (std::size_t car = 0; car < cars.size(); ++car) {
    covariances_mm2.push_back(cars[car].covariance_mm2);
    coordinates_mm.col(static_cast<Index>(car)) = cars[car].coordinates_mm;
  }
  const DeleteEachCar delete_each(covariances_mm2, scatter_mm2);
  const Deletion deletion = delete_each(coordinates_mm);
  ByChance chance;
  chance.add(deletion);
  draw_like_cars(covariances_mm2, scatter_mm2, delete_each, draws, seed, chance);
  chance.rank();
  std::vector<CarOddness> result;
  for (Index car = 0; car < coordinates_mm.cols(); ++car) {
    CarOddness oddness;
    oddness.probability =
        chance.probability(deletion.squares.col(car).maxCoeff(&oddness.pivot), deletion.together[car]);
    oddness.off_mm = deletion.off_mm.col(car).segment<3>(3 * oddness.pivot);
    result.push_back(oddness);
  }
  return result;
}

}  // namespace pivotfix
