// SPDX-License-Identifier: Apache-2.0
#include "pool/like_cars.h"

#include <Eigen/Cholesky>
#include <Eigen/Eigenvalues>
#include <Eigen/LU>
#include <algorithm>

namespace pivotfix {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::SelfAdjointEigenSolver;
using Eigen::VectorXd;

constexpr int scalings = 3;  // one is exact where pivots share nothing

MatrixXd root_of(const MatrixXd& covariance) {
  const SelfAdjointEigenSolver<MatrixXd> eigen(covariance);
  return eigen.eigenvectors() * eigen.eigenvalues().cwiseMax(0.0).cwiseSqrt().asDiagonal();
}

// The part of a covariance that no two pivots share: a pivot's own given all others, made less until what is
// left is a covariance, too.
MatrixXd own_part(const MatrixXd& covariance_mm2) {
  const Index size = covariance_mm2.rows();
  const MatrixXd weight = covariance_mm2.llt().solve(MatrixXd::Identity(size, size));
  MatrixXd own = MatrixXd::Zero(size, size);
  for (Index at = 0; at < size; at += 3) own.block<3, 3>(at, at) = weight.block<3, 3>(at, at).inverse();
  const Eigen::LLT<MatrixXd> root(own);
  const MatrixXd half = root.matrixL().solve(covariance_mm2);
  const MatrixXd relative = root.matrixL().solve(half.transpose());
  const SelfAdjointEigenSolver<MatrixXd> eigen(relative, Eigen::EigenvaluesOnly);
  return std::min(1.0, eigen.eigenvalues()[0]) * own;
}

VectorXd standard_normal(Index size, NormalDraws& draws) {
  VectorXd values(size);
  for (double& value : values) value = draws();
  return values;
}

}  // namespace

LikeCars::LikeCars(const std::vector<MatrixXd>& covariances_mm2, const VectorXd& scatter_mm2,
                   const MatrixXd& coordinates_mm) {
  const Index size = coordinates_mm.rows();
  MatrixXd sum = MatrixXd::Zero(size, size);
  for (const MatrixXd& measuring : covariances_mm2) {
    MatrixXd own = own_part(measuring), total = measuring;
    shared_roots_.push_back(root_of(measuring - own));
    for (Index c = 0; c < size; ++c) {
      own(c, c) += scatter_mm2[c / 3];
      total(c, c) += scatter_mm2[c / 3];
    }
    own_roots_.push_back(own.llt().matrixL());
    weights_.push_back(total.llt().solve(MatrixXd::Identity(size, size)));
    sum += weights_.back();
  }
  mean_covariance_mm2_ = sum.inverse();
  squares_ = squares_at_pivots(coordinates_mm);
}

// Of A x.
VectorXd LikeCars::squares_at_pivots(const MatrixXd& coordinates_mm) const {
  MatrixXd weighted = coordinates_mm;
  for (Index car = 0; car < weighted.cols(); ++car)
    weighted.col(car) = weights_[static_cast<std::size_t>(car)] * coordinates_mm.col(car);
  const VectorXd mean_mm = mean_covariance_mm2_ * weighted.rowwise().sum();
  for (Index car = 0; car < weighted.cols(); ++car)
    weighted.col(car) -= weights_[static_cast<std::size_t>(car)] * mean_mm;
  VectorXd squares(weighted.rows() / 3);
  for (Index p = 0; p < squares.size(); ++p) squares[p] = weighted.middleRows<3>(3 * p).squaredNorm();
  return squares;
}

MatrixXd LikeCars::operator()(NormalDraws& draws) const {
  const Index size = mean_covariance_mm2_.rows(), cars = static_cast<Index>(weights_.size());
  MatrixXd own_mm(size, cars), shared_mm(size, cars);
  for (Index car = 0; car < cars; ++car) {
    const auto i = static_cast<std::size_t>(car);
    own_mm.col(car) = own_roots_[i] * standard_normal(size, draws);
    shared_mm.col(car) = shared_roots_[i] * standard_normal(size, draws);
  }
  for (int i = 0; i < scalings; ++i) {
    const VectorXd scale = (squares_.array() / squares_at_pivots(own_mm + shared_mm).array()).sqrt();
    for (Index row = 0; row < size; ++row) own_mm.row(row) *= scale[row / 3];
  }
  return own_mm + shared_mm;
}

}  // namespace pivotfix
