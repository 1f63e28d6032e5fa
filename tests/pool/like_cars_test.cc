// SPDX-License-Identifier: Apache-2.0
#include "pool/like_cars.h"

#include <gtest/gtest.h>

#include <Eigen/LU>

#include "pool/unlike_cars.h"

namespace pivotfix {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

// From the normal equations of all cars' coordinates as one long column.
VectorXd squares_at_pivots(const UnlikeCars& unlike, const MatrixXd& coordinates) {
  const Index size = UnlikeCars::size, cars = UnlikeCars::cars;
  MatrixXd weights = MatrixXd::Zero(size * cars, size * cars), design(size * cars, size);
  for (Index car = 0; car < cars; ++car) {
    weights.block(size * car, size * car, size, size) =
        unlike.totals[static_cast<std::size_t>(car)].inverse();
    design.middleRows(size * car, size).setIdentity();
  }
  const VectorXd all = Eigen::Map<const VectorXd>(coordinates.data(), coordinates.size());
  const MatrixXd normal = design.transpose() * weights * design;
  const VectorXd left = weights * (all - design * normal.lu().solve(design.transpose() * weights * all));
  VectorXd squares = VectorXd::Zero(UnlikeCars::pivots);
  for (Index i = 0; i < left.size(); ++i) squares[i % size / 3] += left[i] * left[i];
  return squares;
}

// What pivots share is not scaled; where that alone differs more, the squares stay larger.
TEST(LikeCars, DifferAsMuchAsThePoolAtMostPivots) {
  Workbench bench(11);
  const UnlikeCars unlike;
  const MatrixXd coordinates = drawn(bench, unlike.totals);
  const LikeCars like_cars(unlike.measuring, unlike.scatter, coordinates);
  const VectorXd squares = squares_at_pivots(unlike, coordinates);
  NormalDraws draws(12);
  Index near = 0, looked_at = 0;
  for (int i = 0; i < 40; ++i) {
    const MatrixXd like = like_cars(draws);
    near += ((squares_at_pivots(unlike, like).array() / squares.array() - 1.0).abs() < 0.05).count();
    looked_at += squares.size();
    EXPECT_GT((like - coordinates).norm(), 1.0);
  }
  // Unscaled, squares of some 15 degrees of freedom are that near in a tenth of all draws.
  EXPECT_GT(static_cast<double>(near) / static_cast<double>(looked_at), 0.7);
}

// Any pool of cars measured alike, here one with a car far off: the others by chance are like any like cars.
TEST(LikeCars, OfThemAnyCarIsAsFarOffAsATableOfFSays) {
  Workbench bench(13);
  const Index cars = 6, size = 24;
  const std::vector<MatrixXd> measuring(cars, 0.09 * MatrixXd::Identity(size, size));
  MatrixXd coordinates = drawn(bench, measuring);
  coordinates.col(2).segment<3>(6).setConstant(5.0);
  const LikeCars like_cars(measuring, VectorXd::Zero(size / 3), coordinates);
  NormalDraws draws(14);
  int beyond = 0, looked_at = 0;
  for (int i = 0; i < 400; ++i) {
    const MatrixXd like = like_cars(draws);
    for (Index p = 0; p < size; p += 3) {
      const auto points = like.middleRows<3>(p);
      const Eigen::Vector3d mean = (points.rowwise().sum() - points.col(0)) / (cars - 1.0);
      const double squares = (points.rightCols(cars - 1).colwise() - mean).squaredNorm();
      const double f =
          (points.col(0) - mean).squaredNorm() / 3.0 * (cars - 1.0) / cars / (squares / (3.0 * (cars - 2.0)));
      beyond += f > 3.49 ? 1 : 0;  // 5 % of F with 3 and 12 degrees of freedom, from a printed table
      ++looked_at;
    }
  }
  EXPECT_NEAR(100.0 * beyond / looked_at, 5.0, 1.5);  // 3200 draws scatter by 0.4 %
}

}  // namespace
}  // namespace pivotfix
