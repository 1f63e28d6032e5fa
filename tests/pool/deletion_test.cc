// SPDX-License-Identifier: Apache-2.0
#include "pool/deletion.h"

#include <gtest/gtest.h>

#include <Eigen/LU>
#include <cmath>
#include <vector>

#include "hardpoints/open_lines.h"
#include "pool/unlike_cars.h"

namespace pivotfix {
namespace {

using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr Eigen::Index size = 24, pivots = 8, cars = 6;

struct TextbookResiduals {
  MatrixXd off_squares{MatrixXd(pivots, cars)};  // distance from the mean of the others
  MatrixXd variances{MatrixXd(pivots, cars)};    // of a coordinate, from the others

  TextbookResiduals(const MatrixXd& coordinates, const VectorXd& directions) {
    for (Eigen::Index car = 0; car < cars; ++car)
      for (Eigen::Index pivot = 0; pivot < pivots; ++pivot) {
        const Eigen::Matrix<double, 3, cars> points = coordinates.middleRows<3>(3 * pivot);
        const Eigen::Vector3d mean = (points.rowwise().sum() - points.col(car)) / (cars - 1.0);
        double squares = 0.0;
        for (Eigen::Index other = 0; other < cars; ++other)
          if (other != car) squares += (points.col(other) - mean).squaredNorm();
        off_squares(pivot, car) = (points.col(car) - mean).squaredNorm();
        variances(pivot, car) = squares / (directions[pivot] * (cars - 2.0));
      }
  }
};

// Where all coordinates are measured alike and err by themselves, the textbook's deleted residual: the
// squared distance from the mean of the others over what the variances of the others, shared between pivots,
// make it. What the measurements are said to be and where the search for tau^2 starts drops out. Pivots that
// are known as a line only have nothing but their two other coordinates.
TEST(DeleteEachCar, IsTheTextbooksResidualWhereAllAreMeasuredAlike) {
  Workbench bench(3);
  MatrixXd coordinates = drawn(bench, std::vector<MatrixXd>(cars, 0.5 * MatrixXd::Identity(size, size)));
  MatrixXd along_lines = MatrixXd::Zero(size, size);
  VectorXd directions = VectorXd::Constant(pivots, 3.0);
  for (const Eigen::Index pivot : {0, 1, 4}) {
    coordinates.row(3 * pivot + 1).setZero();
    along_lines(3 * pivot + 1, 3 * pivot + 1) = nothing_known_mm * nothing_known_mm;
    directions[pivot] = 2.0;
  }
  const TextbookResiduals textbook(coordinates, directions);
  for (const double variance : {0.09, 0.3})
    for (const double start : {0.0, 0.7}) {
      const MatrixXd measuring = variance * MatrixXd::Identity(size, size) + along_lines;
      const DeleteEachCar delete_each(std::vector<MatrixXd>(cars, measuring),
                                      VectorXd::Constant(pivots, start),
                                      directions.cast<int>().replicate(1, cars));
      const Deletion deletion = delete_each(coordinates);
      for (Eigen::Index car = 0; car < cars; ++car) {
        EXPECT_LT(
            (deletion.others_scatter_mm2.col(car).array() + variance - textbook.variances.col(car).array())
                .abs()
                .maxCoeff(),
            1e-4);
        const SharedScatter shared =
            share_scatter(textbook.variances.col(car), VectorXd::Zero(pivots), (cars - 2.0) * directions);
        for (Eigen::Index pivot = 0; pivot < pivots; ++pivot) {
          const double squares =
              textbook.off_squares(pivot, car) / (shared.scatter_mm2[pivot] * cars / (cars - 1.0));
          const double freedom = shared.freedom[pivot];
          EXPECT_NEAR(deletion.squares(pivot, car), squares, 1e-4 * squares);
          EXPECT_NEAR(deletion.freedom(pivot, car), freedom, 1e-2 * freedom);
          const double ratio = (freedom + directions[pivot]) * std::log1p(squares / freedom);
          EXPECT_NEAR(deletion.ratios(pivot, car), ratio, 1e-3 * ratio);
          EXPECT_NEAR(deletion.off_mm.col(car).segment<3>(3 * pivot).squaredNorm(),
                      textbook.off_squares(pivot, car), 1e-6);
        }
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

// By hand: of a pivot's y only cars 0 and 1 know anything. The five others than car 5 have 15 coordinates,
// less three of y and three of the mean; those others than car 0 have four of y less, and the mean still
// takes one.
TEST(DeleteEachCar, CountsADegreeOfFreedomForEachDirectionThatACarKnows) {
  Workbench bench(6);
  std::vector<MatrixXd> measuring(cars, 0.09 * MatrixXd::Identity(size, size));
  Eigen::MatrixXi directions = Eigen::MatrixXi::Constant(pivots, cars, 3);
  for (std::size_t car = 2; car < cars; ++car) {
    measuring[car](1, 1) = nothing_known_mm * nothing_known_mm;
    directions(0, static_cast<Eigen::Index>(car)) = 2;
  }
  const DeleteEachCar delete_each(measuring, VectorXd::Zero(pivots), directions);
  const MatrixXd freedom = delete_each(drawn(bench, measuring)).freedom;
  EXPECT_NEAR(freedom(1, 5) - freedom(0, 5), 12.0 - 9.0, 1e-9);
  EXPECT_NEAR(freedom(1, 0) - freedom(0, 0), 12.0 - 8.0, 1e-9);
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
