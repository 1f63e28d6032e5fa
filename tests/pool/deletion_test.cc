// SPDX-License-Identifier: Apache-2.0
#include "pool/deletion.h"

#include <gtest/gtest.h>

#include <Eigen/LU>
#include <vector>

#include "compare/made_up_measurements.h"

namespace pivotfix {
namespace {

using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr Eigen::Index size = 24, pivots = 8, cars = 6;

MatrixXd drawn(Workbench& bench, const std::vector<MatrixXd>& covariances) {
  MatrixXd coordinates(size, cars);
  for (Eigen::Index car = 0; car < cars; ++car)
    coordinates.col(car) = bench.errors(covariances[static_cast<std::size_t>(car)]);
  return coordinates;
}

// Where all coordinates are measured alike and err by themselves, the textbook's deleted residual: the
// squared distance from the mean of the others over what the scatter of the others makes it, which is F
// whatever the true scatter is. What the measurements are said to be and where the search for tau^2 starts
// drops out.
TEST(DeleteEachCar, IsTheTextbooksResidualWhereAllAreMeasuredAlike) {
  Workbench bench(3);
  const MatrixXd coordinates =
      drawn(bench, std::vector<MatrixXd>(cars, 0.5 * MatrixXd::Identity(size, size)));
  for (const double variance : {0.09, 0.3})
    for (const double start : {0.0, 0.7}) {
      const DeleteEachCar delete_each(std::vector<MatrixXd>(cars, variance * MatrixXd::Identity(size, size)),
                                      VectorXd::Constant(pivots, start));
      const Deletion deletion = delete_each(coordinates);
      for (Eigen::Index car = 0; car < cars; ++car)
        for (Eigen::Index pivot = 0; pivot < pivots; ++pivot) {
          const Eigen::Matrix<double, 3, cars> points = coordinates.middleRows<3>(3 * pivot);
          const Eigen::Vector3d mean = (points.rowwise().sum() - points.col(car)) / (cars - 1.0);
          double squares = 0.0;
          for (Eigen::Index other = 0; other < cars; ++other)
            if (other != car) squares += (points.col(other) - mean).squaredNorm();
          const Eigen::Vector3d off = points.col(car) - mean;
          const double each = squares / (3.0 * (cars - 2.0)) * cars / (cars - 1.0);
          EXPECT_NEAR(deletion.squares(pivot, car), off.squaredNorm() / each, 1e-6);
          EXPECT_LT((deletion.off_mm.col(car).segment<3>(3 * pivot) - off).norm(), 1e-9);
        }
    }
}

// Squares left over by generalized least squares of all cars together, some columns allowed to shift: the
// textbook's other way to the same figure, with the true tau^2 known.
double squares_left(const std::vector<MatrixXd>& totals, const MatrixXd& coordinates, Eigen::Index car,
                    Eigen::Index first, Eigen::Index count) {
  MatrixXd weights = MatrixXd::Zero(size * cars, size * cars);
  MatrixXd design = MatrixXd::Zero(size * cars, size + count);
  for (Eigen::Index c = 0; c < cars; ++c) {
    weights.block(size * c, size * c, size, size) = totals[static_cast<std::size_t>(c)].inverse();
    design.block(size * c, 0, size, size).setIdentity();
  }
  for (Eigen::Index k = 0; k < count; ++k) design(size * car + first + k, size + k) = 1.0;
  const VectorXd all = Eigen::Map<const VectorXd>(coordinates.data(), coordinates.size());
  const MatrixXd normal = design.transpose() * weights * design;
  const VectorXd left = all - design * normal.lu().solve(design.transpose() * weights * all);
  return left.dot(weights * left);
}

struct UnlikeCars {
  std::vector<MatrixXd> measuring{}, totals{};
  VectorXd scatter = VectorXd::Zero(pivots);

  // Every second pivot differs by 0.5 mm from car to car; each car is measured worse than the last.
  UnlikeCars() {
    for (Eigen::Index p = 1; p < pivots; p += 2) scatter[p] = 0.25;
    for (Eigen::Index car = 0; car < cars; ++car) {
      measuring.push_back(
          made_up_covariance(positions_of(strut_set()), 0.2 + 0.05 * static_cast<double>(car), true));
      totals.push_back(measuring.back());
      for (Eigen::Index c = 0; c < size; ++c) totals.back()(c, c) += scatter[c / 3];
    }
  }
};

TEST(DeleteEachCar, IsWhatAShiftTakesAwayFromTheSquares) {
  Workbench bench(4);
  const UnlikeCars unlike;
  const MatrixXd coordinates = drawn(bench, unlike.totals);
  const Deletion deletion =
      DeleteEachCar(unlike.measuring, unlike.scatter).with_scatter(coordinates, unlike.scatter);
  for (Eigen::Index car = 0; car < cars; ++car) {
    const double plain = squares_left(unlike.totals, coordinates, car, 0, 0);
    EXPECT_NEAR(deletion.together[car], plain - squares_left(unlike.totals, coordinates, car, 0, size), 1e-6);
    for (Eigen::Index p = 0; p < pivots; ++p)
      EXPECT_NEAR(deletion.squares(p, car), plain - squares_left(unlike.totals, coordinates, car, 3 * p, 3),
                  1e-6);
  }
}

TEST(DeleteEachCar, FindsTheScatterOfTheOthersWithoutBiasWhereverItStarts) {
  Workbench bench(5);
  const UnlikeCars unlike;
  for (const double start : {0.0, 0.4}) {
    const DeleteEachCar delete_each(unlike.measuring, VectorXd::Constant(pivots, start));
    VectorXd sum = VectorXd::Zero(pivots);
    const int draws = 800;
    for (int i = 0; i < draws; ++i)
      sum += delete_each(drawn(bench, unlike.totals)).others_scatter_mm2.col(5) / draws;
    // One estimate scatters by a third of the whole variance of some 0.4 mm^2, the mean of 800 by 0.005.
    EXPECT_LT((sum - unlike.scatter).cwiseAbs().maxCoeff(), 0.02) << sum;
  }
}

}  // namespace
}  // namespace pivotfix
