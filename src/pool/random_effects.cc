// SPDX-License-Identifier: Apache-2.0
#include "pool/random_effects.h"

#include <Eigen/LU>
#include <algorithm>
#include <cmath>

#include "base/chance.h"
#include "base/chi_square.h"

namespace pivotfix {
namespace {

using Eigen::Matrix3d;
using Eigen::Vector3d;

struct Weighted {
  Vector3d mean_mm = Vector3d::Zero();
  std::vector<Matrix3d> weights{};
  Matrix3d mean_covariance_mm2{};
  double squares = 0.0;  // about the mean
};

Weighted weighted(const std::vector<MeasuredPoint>& cars, double tau2_mm2) {
  Weighted result;
  Matrix3d sum = Matrix3d::Zero();
  for (const MeasuredPoint& car : cars) {
    result.weights.push_back((car.covariance_mm2 + tau2_mm2 * Matrix3d::Identity()).inverse());
    sum += result.weights.back();
    result.mean_mm += result.weights.back() * car.place_mm;
  }
  result.mean_covariance_mm2 = sum.inverse();
  result.mean_mm = (result.mean_covariance_mm2 * result.mean_mm).eval();
  for (std::size_t i = 0; i < cars.size(); ++i) {
    const Vector3d off_mm = cars[i].place_mm - result.mean_mm;
    result.squares += off_mm.dot(result.weights[i] * off_mm);
  }
  return result;
}

int freedom_of(const std::vector<MeasuredPoint>& cars) {
  Eigen::VectorXi directions(static_cast<Eigen::Index>(cars.size()));
  std::transform(cars.begin(), cars.end(), directions.begin(),
                 [](const MeasuredPoint& car) { return car.no_say ? 2 : 3; });
  return freedom_about_mean(directions);
}

// What the squares are for tau^2 of uncertainties.
double squares_for_uncertainty(int freedom) {
  return freedom / variance_widened_for_few(freedom);
}

// tau^2 with which the squares are that many; they fall as it grows. Zero when there are fewer anyway.
double tau2_for(const std::vector<MeasuredPoint>& cars, double squares) {
  if (weighted(cars, 0.0).squares <= squares) return 0.0;
  double low = 0.0, high = 1e-6;
  while (weighted(cars, high).squares > squares) {
    low = high;
    high *= 4.0;
  }
  for (int i = 0; i < 60; ++i) {
    const double middle = 0.5 * (low + high);
    (weighted(cars, middle).squares > squares ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

}  // namespace

int freedom_about_mean(const Eigen::VectorXi& directions) {
  return directions.sum() - directions.maxCoeff();
}

PointMean point_mean(const std::vector<MeasuredPoint>& cars) {
  const int freedom = freedom_of(cars);
  PointMean result;
  result.tau2_mm2 = tau2_for(cars, freedom);
  result.tau2_for_uncertainty_mm2 = tau2_for(cars, squares_for_uncertainty(freedom));
  result.tau2_low_mm2 = tau2_for(cars, chi_square_at(0.025, freedom));
  result.tau2_high_mm2 = tau2_for(cars, chi_square_at(0.975, freedom));
  result.probability = chi_square_probability(weighted(cars, 0.0).squares, freedom);
  const Weighted best = weighted(cars, result.tau2_mm2);
  result.mean_mm = best.mean_mm;
  for (const Matrix3d& weight : best.weights) result.shares.push_back(best.mean_covariance_mm2 * weight);
  return result;
}

}  // namespace pivotfix
