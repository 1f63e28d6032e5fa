// SPDX-License-Identifier: Apache-2.0
#include "pool/deletion.h"

#include <Eigen/Cholesky>
#include <Eigen/Eigenvalues>
#include <Eigen/LU>
#include <algorithm>
#include <cmath>

#include "pool/random_effects.h"
#include "pool/shared_scatter.h"

namespace pivotfix {
namespace {

using Eigen::Index;
using Eigen::Matrix3d;
using Eigen::MatrixXd;
using Eigen::MatrixXi;
using Eigen::Vector3d;
using Eigen::VectorXd;
using Eigen::VectorXi;

constexpr double least_share = 0.1;  // of the measuring variance that a negative tau^2 leaves

MatrixXd inverse_of(const MatrixXd& covariance) {
  return covariance.llt().solve(MatrixXd::Identity(covariance.rows(), covariance.cols()));
}

double smallest_eigenvalue(const MatrixXd& symmetric) {
  return Eigen::SelfAdjointEigenSolver<MatrixXd>(symmetric, Eigen::EigenvaluesOnly).eigenvalues()[0];
}

void add_scatter(const VectorXd& scatter_mm2, MatrixXd& covariance_mm2) {
  for (Index c = 0; c < covariance_mm2.rows(); ++c) covariance_mm2(c, c) += scatter_mm2[c / 3];
}

// With a tau^2 of each pivot down to these every covariance stays positive definite.
VectorXd lowest_scatter(const std::vector<MatrixXd>& covariances_mm2) {
  const Index pivots = covariances_mm2.front().rows() / 3;
  VectorXd lowest(pivots);
  for (std::size_t car = 0; car < covariances_mm2.size(); ++car) {
    MatrixXd scaled = covariances_mm2[car];
    const MatrixXd weight = inverse_of(scaled);
    VectorXd own(pivots);  // what the pivot's errors do not share with others, where they are smallest
    for (Index p = 0; p < pivots; ++p)
      own[p] = smallest_eigenvalue(weight.block<3, 3>(3 * p, 3 * p).inverse());
    for (Index i = 0; i < scaled.rows(); ++i)
      for (Index j = 0; j < scaled.cols(); ++j) scaled(i, j) /= std::sqrt(own[i / 3] * own[j / 3]);
    const VectorXd limit = (least_share - 1.0) * std::min(1.0, smallest_eigenvalue(scaled)) * own;
    lowest = car == 0 ? limit : VectorXd(lowest.cwiseMax(limit));
  }
  return lowest;
}

// Sum of the products of what stands at the same place, for each block of three rows and three columns.
MatrixXd block_products(const MatrixXd& a, const MatrixXd& b) {
  const Index pivots = a.rows() / 3;
  MatrixXd products(pivots, pivots);
  for (Index p = 0; p < pivots; ++p)
    for (Index q = 0; q < pivots; ++q)
      products(p, q) = a.block<3, 3>(3 * p, 3 * q).cwiseProduct(b.block<3, 3>(3 * p, 3 * q)).sum();
  return products;
}

Deletion empty_deletion(Index pivots, Index cars) {
  return {MatrixXd(pivots, cars),     MatrixXd(pivots, cars), VectorXd(cars),
          MatrixXd(3 * pivots, cars), MatrixXd(pivots, cars), MatrixXd(pivots, cars)};
}

}  // namespace

// What measuring adds to the variance of each pivot: tau^2 of `freedom` degrees, whose estimate has the
// variance 2 `spread`, is that much less than the variance that has such an estimate.
VectorXd measuring_variances(const MatrixXd& spread, const VectorXd& scatter_mm2, const VectorXd& freedom) {
  return freedom.cwiseProduct(spread.diagonal()).cwiseSqrt() - scatter_mm2;
}

// With A = W - W 1 (sum W)^-1 1' W of all cars but one, the squares of (A x)_p have the expectation tr A_pp,
// which changes with tau^2 of pivot q by the squares of A_pq.
DeleteEachCar::DeleteEachCar(const std::vector<MatrixXd>& covariances_mm2, const VectorXd& scatter_mm2,
                             const MatrixXi& directions)
    : covariances_mm2_(covariances_mm2),
      start_mm2_(scatter_mm2),
      directions_(directions),
      lowest_mm2_(lowest_scatter(covariances_mm2)) {
  if (directions.size() == 0)
    directions_.setConstant(scatter_mm2.size(), static_cast<Index>(covariances_mm2.size()), 3);
  for (MatrixXd total : covariances_mm2) {
    add_scatter(scatter_mm2, total);
    weights_.push_back(inverse_of(total));
  }
  for (std::size_t car = 0; car < weights_.size(); ++car) others_.push_back(others_than(car));
}

DeleteEachCar::Others DeleteEachCar::others_than(std::size_t car) const {
  const Index size = covariances_mm2_.front().rows(), pivots = size / 3;
  MatrixXd sum = MatrixXd::Zero(size, size);
  for (std::size_t other = 0; other < weights_.size(); ++other)
    if (other != car) sum += weights_[other];
  Others result{inverse_of(sum), {}, {}, VectorXd(pivots), {}, VectorXd(pivots), VectorXd(pivots)};
  count_directions(static_cast<Index>(car), result);
  MatrixXd by_scatter = MatrixXd::Zero(pivots, pivots);
  std::vector<MatrixXd> sum_by_scatter(static_cast<std::size_t>(pivots), MatrixXd::Zero(size, size));
  for (std::size_t other = 0; other < weights_.size(); ++other) {
    if (other == car) continue;
    const MatrixXd& weight = weights_[other];
    by_scatter += block_products(weight, weight - 2.0 * weight * result.mean_covariance_mm2 * weight);
    for (Index p = 0; p < pivots; ++p)
      sum_by_scatter[static_cast<std::size_t>(p)] +=
          weight.middleCols<3>(3 * p) * weight.middleRows<3>(3 * p);
  }
  for (const MatrixXd& change : sum_by_scatter)
    result.mean_covariance_by_scatter.push_back(result.mean_covariance_mm2 * change *
                                                result.mean_covariance_mm2);
  for (Index p = 0; p < pivots; ++p) {
    const MatrixXd& change = sum_by_scatter[static_cast<std::size_t>(p)];
    result.expected_squares[p] =
        sum.block<3, 3>(3 * p, 3 * p).trace() - change.cwiseProduct(result.mean_covariance_mm2).sum();
    for (Index q = 0; q < pivots; ++q)
      by_scatter(p, q) +=
          change.cwiseProduct(result.mean_covariance_by_scatter[static_cast<std::size_t>(q)]).sum();
  }
  result.scatter_from_squares = by_scatter.inverse();
  result.measuring_mm2 = measuring_variances(result.scatter_from_squares, start_mm2_, result.freedom);
  return result;
}

void DeleteEachCar::count_directions(Index car, Others& others) const {
  for (Index p = 0; p < directions_.rows(); ++p) {
    VectorXi of_others = directions_.row(p);
    of_others[car] = 0;
    others.freedom[p] = freedom_about_mean(of_others);
    others.compared[p] = std::min(directions_(p, car), of_others.maxCoeff());
  }
}

DeleteEachCar::Means DeleteEachCar::means_of(const MatrixXd& coordinates_mm) const {
  Means means{coordinates_mm, coordinates_mm};
  for (Index car = 0; car < coordinates_mm.cols(); ++car)
    means.weighted.col(car) = weights_[static_cast<std::size_t>(car)] * coordinates_mm.col(car);
  const VectorXd sum = means.weighted.rowwise().sum();
  for (Index car = 0; car < coordinates_mm.cols(); ++car)
    means.others_mm.col(car) =
        others_[static_cast<std::size_t>(car)].mean_covariance_mm2 * (sum - means.weighted.col(car));
  return means;
}

VectorXd DeleteEachCar::scatter_without(Index car, const Means& means) const {
  const Others& others = others_[static_cast<std::size_t>(car)];
  VectorXd squares = -others.expected_squares;
  for (Index other = 0; other < means.weighted.cols(); ++other) {
    if (other == car) continue;
    const VectorXd off =
        means.weighted.col(other) - weights_[static_cast<std::size_t>(other)] * means.others_mm.col(car);
    for (Index p = 0; p < squares.size(); ++p) squares[p] += off.segment<3>(3 * p).squaredNorm();
  }
  return (start_mm2_ + others.scatter_from_squares * squares).cwiseMax(lowest_mm2_);
}

void DeleteEachCar::judge(Index car, const VectorXd& off_mm, const SharedScatter& scatter,
                          Deletion& result) const {
  const Others& others = others_[static_cast<std::size_t>(car)];
  MatrixXd covariance_mm2 = covariances_mm2_[static_cast<std::size_t>(car)] + others.mean_covariance_mm2;
  add_scatter(scatter.scatter_mm2, covariance_mm2);
  const VectorXd change_mm2 = scatter.scatter_mm2 - start_mm2_;
  for (Index p = 0; p < change_mm2.size(); ++p)
    covariance_mm2 += change_mm2[p] * others.mean_covariance_by_scatter[static_cast<std::size_t>(p)];
  const MatrixXd weight = inverse_of(covariance_mm2);
  const VectorXd weighted = weight * off_mm;
  result.together[car] = off_mm.dot(weighted);
  result.freedom.col(car) = scatter.freedom;
  for (Index p = 0; p < change_mm2.size(); ++p) {
    const Vector3d of_pivot = weighted.segment<3>(3 * p);
    const Vector3d shift_mm = weight.block<3, 3>(3 * p, 3 * p).inverse() * of_pivot;
    const double squares = of_pivot.dot(shift_mm);
    result.squares(p, car) = squares;
    result.ratios(p, car) =
        (scatter.freedom[p] + others.compared[p]) * std::log1p(squares / scatter.freedom[p]);
    result.off_mm.col(car).segment<3>(3 * p) = shift_mm;
  }
}

SharedScatter DeleteEachCar::shared(Index car, const VectorXd& scatter_mm2) const {
  const Others& others = others_[static_cast<std::size_t>(car)];
  SharedScatter scatter = share_scatter(scatter_mm2, others.measuring_mm2, others.freedom);
  scatter.scatter_mm2 = scatter.scatter_mm2.cwiseMax(lowest_mm2_);
  return scatter;
}

Deletion DeleteEachCar::operator()(const MatrixXd& coordinates_mm) const {
  const Means means = means_of(coordinates_mm);
  Deletion result = empty_deletion(start_mm2_.size(), coordinates_mm.cols());
  for (Index car = 0; car < coordinates_mm.cols(); ++car) {
    const VectorXd scatter_mm2 = scatter_without(car, means);
    result.others_scatter_mm2.col(car) = scatter_mm2;
    judge(car, coordinates_mm.col(car) - means.others_mm.col(car), shared(car, scatter_mm2), result);
  }
  return result;
}

Deletion DeleteEachCar::with_scatter(const MatrixXd& coordinates_mm, const VectorXd& scatter_mm2) const {
  const MatrixXd off_mm = coordinates_mm - means_of(coordinates_mm).others_mm;
  Deletion result = empty_deletion(start_mm2_.size(), coordinates_mm.cols());
  result.others_scatter_mm2.colwise() = scatter_mm2;
  const SharedScatter known{scatter_mm2, VectorXd::Constant(scatter_mm2.size(), 1e9)};
  for (Index car = 0; car < coordinates_mm.cols(); ++car) judge(car, off_mm.col(car), known, result);
  return result;
}

}  // namespace pivotfix
