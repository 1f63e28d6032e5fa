// SPDX-License-Identifier: Apache-2.0
// One point measured on several cars that differ among themselves. Private to the pool stage and its tests.
//
// A car's point = mean + what is peculiar to the car (variance tau^2, the same along x, y and z) + measuring
// error (covariance known). tau^2 after Paule and Mandel ("Consensus Values and Weighting Factors", Journal
// of Research of the National Bureau of Standards 87, 1982): the one with which the weighted squares about
// the weighted mean are as many as their degrees of freedom, here of three coordinates together with their
// covariance. It needs no iteration to start from, is exact where all cars were measured alike, and does not
// lean on the best measured cars as much as the moments of DerSimonian and Laird (Veroniki et al., "Methods
// to Estimate the Between-Study Variance and its Uncertainty in Meta-Analysis", Research Synthesis Methods 7,
// 2016, from memory).
//
// Few cars tell little about tau^2. So uncertainties are stated with the tau^2 that makes the weighted
// squares as much less than their degrees of freedom as so few must be widened (base/chance.h): measured
// alike, that is just the variance of Student's distribution.
#pragma once

#include <Eigen/Core>
#include <vector>

namespace pivotfix {

struct MeasuredPoint {
  Eigen::Vector3d place_mm = Eigen::Vector3d::Zero();
  Eigen::Matrix3d covariance_mm2 = Eigen::Matrix3d::Identity();  // full rank
  // Along one direction, the same for all cars, nothing is known: so the covariance says, and the place there
  // is set to the others'. Such a car has no degree of freedom in that direction.
  bool no_say = false;
};

struct PointMean {
  Eigen::Vector3d mean_mm = Eigen::Vector3d::Zero();
  double tau2_mm2 = 0.0;
  double tau2_for_uncertainty_mm2 = 0.0;  // the same or larger
  // 95 % of tau^2, by the values that make the squares a rare chance either way (Q profile: Viechtbauer,
  // "Confidence Intervals for the Amount of Heterogeneity in Meta-Analysis", Statistics in Medicine 26,
  // 2007).
  double tau2_low_mm2 = 0.0;
  double tau2_high_mm2 = 0.0;
  // Of squares as large when all cars are alike (Cochran, "The Combination of Estimates from Different
  // Experiments", Biometrics 10, 1954).
  double probability = 1.0;
  std::vector<Eigen::Matrix3d> shares{};  // of each car in the mean; they sum to the identity
};

// Degrees of freedom of what cars differ by about their mean at a pivot, of which each knows so many
// directions: three, or the same two. The mean takes one in each direction that some car knows.
int freedom_about_mean(const Eigen::VectorXi& directions);

// Needs two points or more.
PointMean point_mean(const std::vector<MeasuredPoint>& cars);

}  // namespace pivotfix
