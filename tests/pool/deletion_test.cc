// SPDX-License-Identifier: Apache-2.0
#include "pool/deletion.h"

#include <gtest/gtest.h>

#include <Eigen/LU>
#include <vector>

#include "pool/unlike_cars.h"

namespace pivotfix {
namespace {

using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr Eigen::Index size = 24, pivots = 8, cars = 6;

struct TextbookResiduals {
  MatrixXd off_squares{MatrixXd(pivots, cars)};  // distance from the mean of the others
  MatrixXd variances{MatrixXd(pivots, cars)};    // of a coordinate, from the others

  explicit TextbookResiduals(const MatrixXd& coordinates) {
    for (Eigen::Index car = 0; car < cars; ++car)
      for (Eigen::Index pivot = 0; pivot < pivots; ++pivot) {
        const Eigen::Matrix<double, 3, cars> points = coordinates.middleRows<3>(3 * pivot);
        const Eigen::Vector3d mean = (points.rowwise().sum() - points.col(car)) / (cars - 1.0);
        double squares = 0.0;
        for (Eigen::Index other = 0; other < cars; ++other)
          if (other != car) squares += (points.col(other) - mean).squaredNorm();
        off_squares(pivot, car) = (points.col(car) - mean).squaredNorm();
        variances(pivot, car) = squares / (3.0 * (cars - 2.0));
      }
  }
};

// Where all coordinates are measured alike and err by themselves, the textbook's deleted residual: the
// squared distance from the mean of the others over what the variances of the others, shared between pivots,
// make it. What the measurements are said to be and where the search for tau^2 starts drops out.
TEST(DeleteEachCar, IsTheTextbooksResidualWhereAllAreMeasuredAlike) {
  Workbench bench(3);
  const MatrixXd coordinates =
      drawn(bench, std::vector<MatrixXd>(cars, 0.5 * MatrixXd::Identity(size, size)));
  const TextbookResiduals textbook(coordinates);
  for (const double variance : {0.09, 0.3})
    for (const double start : {0.0, 0.7}) {
      const DeleteEachCar delete_each(std::vector<MatrixXd>(cars, variance * MatrixXd::Identity(size, size)),
                                      VectorXd::Constant(pivots, start));
      const Deletion deletion = delete_each(coordinates);
      for (Eigen::Index car = 0; car < cars; ++car) {
        EXPECT_LT(
            (deletion.others_scatter_mm2.col(car).array() + variance - textbook.variances.col(car).array())
                .abs()
                .maxCoeff(),
            1e-6);
        const SharedScatter shared =
            share_scatter(textbook.variances.col(car), VectorXd::Zero(pivots), 3.0 * (cars - 2.0));
        EXPECT_NEAR(deletion.freedom[car], shared.freedom, 1e-6 * shared.freedom);
        for (Eigen::Index pivot = 0; pivot < pivots; ++pivot) {
          const double squares =
              textbook.off_squares(pivot, car) / (shared.scatter_mm2[pivot] * cars / (cars - 1.0));
          EXPECT_NEAR(deletion.squares(pivot, car), squares, 1e-6 * squares);
          EXPECT_NEAR(deletion.off_mm.col(car).segment<3>(3 * pivot).squaredNorm(),
                      textbook.off_squares(pivot, car), 1e-9);
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
