// SPDX-License-Identifier: Apache-2.0
#include "pool/oddness.h"

#include <algorithm>
#include <utility>

#include "base/draws.h"
#include "pool/deletion.h"
#include "pool/like_cars.h"
#include "pool/random_effects.h"
#include "pool/shared_scatter.h"

namespace pivotfix {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::MatrixXi;
using Eigen::VectorXd;

// Of the false alarms, those that all pivots together may raise; the worst pivot may raise the others.
// Little, since a car that is bent all over has bad pivots too.
constexpr double share_of_together = 0.1;

double share_beyond(const std::vector<double>& ascending, double figure) {
  const auto below = std::lower_bound(ascending.begin(), ascending.end(), figure) - ascending.begin();
  return 1.0 - static_cast<double>(below) / static_cast<double>(ascending.size());
}

// The largest figures of the pool and of pools of like cars, both ways.
class ByChance {
 public:
  void add(const Deletion& deletion) {
    worst_.push_back(deletion.ratios.maxCoeff());
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
    return std::minmax({share_beyond(worst_, worst) / (1.0 - share_of_together),
                        share_beyond(together_, together) / share_of_together});
  }

  std::vector<double> worst_{}, together_{};  // ascending when ranked
  std::vector<Rarity> rarities_{};
};

// Where the search for each pivot's tau^2 starts: drawn towards the other pivots', so that it leans less on
// the very errors that are to be judged.
VectorXd start_for(const std::vector<CarPoints>& cars, const MatrixXi& directions,
                   const VectorXd& scatter_mm2) {
  const double count = static_cast<double>(cars.size());
  VectorXd measuring_mm2 = VectorXd::Zero(scatter_mm2.size()), freedom(scatter_mm2.size());
  for (Index p = 0; p < measuring_mm2.size(); ++p) {
    for (const CarPoints& car : cars) measuring_mm2[p] += car.measuring_mm2(p) / count;
    freedom[p] = freedom_about_mean(directions.row(p));
  }
  return share_scatter(scatter_mm2, measuring_mm2, freedom).scatter_mm2.cwiseMax(0.0);
}

}  // namespace

std::vector<CarOddness> judge_oddness(const std::vector<CarPoints>& cars,
                                      const std::vector<NoSay>& directions, const VectorXd& scatter_mm2,
                                      int draws, std::uint64_t seed) {
  std::vector<MatrixXd> covariances_mm2;
  for (const CarPoints& car : cars) covariances_mm2.push_back(car.covariance_mm2);
  const MatrixXd coordinates_mm = coordinates_of(cars);
  const MatrixXi with_say = directions_of(cars);
  const VectorXd start_mm2 = start_for(cars, with_say, scatter_mm2);
  const DeleteEachCar delete_each(covariances_mm2, start_mm2, with_say);
  const Deletion deletion = delete_each(coordinates_mm);
  ByChance chance;
  chance.add(deletion);
  const LikeCars like_cars(covariances_mm2, start_mm2, coordinates_mm);
  NormalDraws normal(seed);
  for (int i = 0; i < draws; ++i) {
    MatrixXd drawn_mm = like_cars(normal);
    leave_out(directions, drawn_mm);
    chance.add(delete_each(drawn_mm));
  }
  chance.rank();
  std::vector<CarOddness> result;
  for (Index car = 0; car < coordinates_mm.cols(); ++car) {
    CarOddness oddness;
    oddness.probability =
        chance.probability(deletion.ratios.col(car).maxCoeff(&oddness.pivot), deletion.together[car]);
    oddness.off_mm = deletion.off_mm.col(car).segment<3>(3 * oddness.pivot);
    result.push_back(oddness);
  }
  return result;
}

}  // namespace pivotfix
