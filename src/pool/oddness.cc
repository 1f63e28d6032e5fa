// SPDX-License-Identifier: Apache-2.0
#include "pool/oddness.h"

#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cmath>

#include "base/draws.h"

namespace pivotfix {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr int draw_count = 1000;
constexpr double least_share = 0.1;  // of the measuring variance that a negative tau^2 leaves

MatrixXd without_row(const MatrixXd& matrix, Index row) {
  MatrixXd rest(matrix.rows() - 1, matrix.cols());
  rest.topRows(row) = matrix.topRows(row);
  rest.bottomRows(matrix.rows() - 1 - row) = matrix.bottomRows(matrix.rows() - 1 - row);
  return rest;
}

// Squared deviates of every car's pivots from the mean of the other cars: a row for each car.
struct Deviates {
  MatrixXd squares{};
  MatrixXd off_mm{};  // a row for each car, all coordinates

  VectorXd worst() const { return squares.rowwise().maxCoeff(); }
  VectorXd together() const { return squares.rowwise().sum(); }
};

Deviates deviates_of(const MatrixXd& coordinates_mm, const MatrixXd& variances_mm2) {
  const Index cars = coordinates_mm.rows(), pivots = coordinates_mm.cols() / 3;
  Deviates result{MatrixXd::Zero(cars, pivots), MatrixXd(cars, coordinates_mm.cols())};
  for (Index car = 0; car < cars; ++car) {
    const MatrixXd others = without_row(coordinates_mm, car), variances = without_row(variances_mm2, car);
    const VectorXd scatter = scatter_estimate(others, variances);
    for (Index c = 0; c < coordinates_mm.cols(); ++c) {
      const double own = variances_mm2(car, c);
      const double least = std::min(own, variances.col(c).minCoeff());
      const double tau2 = std::max(scatter[c / 3], (least_share - 1.0) * least);
      const VectorXd weights = (variances.col(c).array() + tau2).inverse();
      const double off = coordinates_mm(car, c) - weights.dot(others.col(c)) / weights.sum();
      result.off_mm(car, c) = off;
      result.squares(car, c / 3) += off * off / (own + tau2 + 1.0 / weights.sum());
    }
  }
  return result;
}

MatrixXd root_of(const MatrixXd& covariance) {
  const Eigen::SelfAdjointEigenSolver<MatrixXd> eigen(covariance);
  return eigen.eigenvectors() * eigen.eigenvalues().cwiseMax(0.0).cwiseSqrt().asDiagonal();
}

double share_beyond(const std::vector<double>& ascending, double figure) {
  const auto below = std::lower_bound(ascending.begin(), ascending.end(), figure) - ascending.begin();
  return (static_cast<double>(ascending.size()) - static_cast<double>(below)) /
         static_cast<double>(ascending.size());
}

// The largest figures of pools of like cars, both ways.
struct ByChance {
  std::vector<double> worst{}, together{};  // ascending
  std::vector<double> smallest_share{};     // of the rarer of both, ascending

  double rarer(double worst_figure, double together_figure) const {
    return std::min(share_beyond(worst, worst_figure), share_beyond(together, together_figure));
  }
  // Of a car as odd as this among like cars.
  double probability(double worst_figure, double together_figure) const {
    const auto reached =
        std::upper_bound(smallest_share.begin(), smallest_share.end(), rarer(worst_figure, together_figure)) -
        smallest_share.begin();
    return static_cast<double>(std::max<std::ptrdiff_t>(reached, 1)) / draw_count;
  }
};

ByChance draw_like_cars(const std::vector<CarPoints>& cars, const MatrixXd& variances_mm2,
                        const VectorXd& scatter) {
  std::vector<MatrixXd> roots;
  const Index size = variances_mm2.cols();
  for (const CarPoints& car : cars) {
    MatrixXd covariance = car.covariance_mm2;
    for (Index c = 0; c < size; ++c) covariance(c, c) += std::max(0.0, scatter[c / 3]);
    roots.push_back(root_of(covariance));
  }
  NormalDraws draws(20240229);
  std::vector<double> worst, together;
  MatrixXd coordinates(variances_mm2.rows(), size);
  VectorXd standard(size);
  for (int i = 0; i < draw_count; ++i) {
    for (Index car = 0; car < coordinates.rows(); ++car) {
      for (double& value : standard) value = draws();
      coordinates.row(car) = (roots[static_cast<std::size_t>(car)] * standard).transpose();
    }
    const Deviates deviates = deviates_of(coordinates, variances_mm2);
    worst.push_back(deviates.worst().maxCoeff());
    together.push_back(deviates.together().maxCoeff());
  }
  ByChance result{worst, together, {}};
  std::sort(result.worst.begin(), result.worst.end());
  std::sort(result.together.begin(), result.together.end());
  for (std::size_t i = 0; i < worst.size(); ++i)
    result.smallest_share.push_back(result.rarer(worst[i], together[i]));
  std::sort(result.smallest_share.begin(), result.smallest_share.end());
  return result;
}

}  // namespace

VectorXd scatter_estimate(const MatrixXd& coordinates_mm, const MatrixXd& variances_mm2) {
  const Index cars = coordinates_mm.rows();
  VectorXd q = VectorXd::Zero(coordinates_mm.cols() / 3), scale = q;
  for (Index c = 0; c < coordinates_mm.cols(); ++c) {
    const VectorXd weights = variances_mm2.col(c).cwiseInverse();
    const double sum = weights.sum();
    const double mean = weights.dot(coordinates_mm.col(c)) / sum;
    q[c / 3] += (weights.array() * (coordinates_mm.col(c).array() - mean).square()).sum();
    scale[c / 3] += sum - weights.squaredNorm() / sum;
  }
  return (q.array() - 3.0 * static_cast<double>(cars - 1)) / scale.array();
}

std::vector<CarOddness> judge_oddness(const std::vector<CarPoints>& cars, const VectorXd& scatter_mm2) {
  const auto count = static_cast<Index>(cars.size());
  MatrixXd coordinates(count, cars.front().coordinates_mm.size()), variances = coordinates;
  for (Index car = 0; car < count; ++car) {
    coordinates.row(car) = cars[static_cast<std::size_t>(car)].coordinates_mm.transpose();
    variances.row(car) = cars[static_cast<std::size_t>(car)].covariance_mm2.diagonal().transpose();
  }
  const Deviates deviates = deviates_of(coordinates, variances);
  const ByChance chance = draw_like_cars(cars, variances, scatter_mm2);
  const VectorXd worst = deviates.worst(), together = deviates.together();
  std::vector<CarOddness> result;
  for (Index car = 0; car < count; ++car) {
    CarOddness oddness;
    oddness.probability = chance.probability(worst[car], together[car]);
    deviates.squares.row(car).maxCoeff(&oddness.pivot);
    oddness.off_mm = deviates.off_mm.row(car).segment<3>(3 * oddness.pivot).transpose();
    result.push_back(oddness);
  }
  return result;
}

}  // namespace pivotfix
