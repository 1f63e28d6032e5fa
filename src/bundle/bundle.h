// SPDX-License-Identifier: Apache-2.0
// The adjustment itself, free of tags and photos: rigid targets of known shape, seen from stations through
// lenses. A tag is a target of four corners whose size may float; a calibration board is one of many points.
#pragma once

#include <Eigen/Core>
#include <vector>

#include "base/rigid_transform.h"
#include "lens/lens.h"

namespace pivotfix {

struct BundleLens {
  Lens lens{};
  std::array<bool, lens_parameter_count> free{true, false, true, true, true, true, true, true, true};
  // Weak knowledge, so that a parameter that the photos say nothing of stays put; sigma 0: no such knowledge.
  Lens expected{};
  std::array<double, lens_parameter_count> expected_sigma{};
  // Joint knowledge instead of `expected_sigma`, from a calibration; zero rows where it says nothing. Empty:
  // none.
  Eigen::MatrixXd expected_covariance{};

  bool calibrated() const { return expected_covariance.size() > 0; }
  // W, so that W (values - expected) has unit variance: one row for each parameter that is known.
  Eigen::MatrixXd square_root_of_knowledge() const;
};

struct BundleStation {
  RigidTransform camera_from_network{};
  int lens = 0;
  PhotoShift shift{};
};

struct BundleTarget {
  RigidTransform network_from_target{};
  int size = 0;  // index into Bundle::sizes
};

// A size multiplies the target's points; `expected_sigma` is how well it is known beforehand.
struct BundleSize {
  double factor = 1.0;
  double expected_sigma = 0.02;
  bool free = true;
};

struct BundleObservation {
  int station = 0;
  int target = 0;
  std::vector<Eigen::Vector3d> points_target_mm{};
  std::vector<Eigen::Vector2d> points_px{};
  // Rows of whitened residuals per pixel, 2n columns; lower triangle, inverse of the covariance's Cholesky
  // factor.
  Eigen::MatrixXd square_root_information{};
  bool rejected = false;
};

struct BundleDistance {
  int from_target = 0;
  int to_target = 0;
  double length_mm = 0.0;
  double sigma_mm = 0.1;
};

struct Bundle {
  std::vector<BundleLens> lenses{};
  std::vector<BundleStation> stations{};
  std::vector<BundleTarget> targets{};
  std::vector<BundleSize> sizes{};
  std::vector<BundleObservation> observations{};
  std::vector<BundleDistance> distances{};
  int datum_target = 0;      // its pose is held: it only defines the network frame
  PhotoShift shift_sigma{};  // spread of station shifts; zero: that shift is held at its value
  int threads = 1;           // to adjust it on; changes nothing of the result
};

struct BundleOptions {
  bool lenses_held = false;
  double robust_scale = 0.0;  // of whitened residual blocks (Cauchy); 0: plain least squares
  int most_iterations = 50;
  double smallest_gain = 1e-9;  // relative fall of the cost below which a step is the last
};

struct BundleSummary {
  bool converged = false;
  int iterations = 0;
  double cost = 0.0;  // half the sum of squared whitened residuals
};

// In place; `normal_equations.h` says how.
BundleSummary adjust(Bundle& bundle, const BundleOptions& options);

// Joint covariance of everything adjusted, from the plain (not robust) normal equations at `bundle`; stations
// are eliminated first (Schur complement), so the dense part has only targets, sizes and lenses.
// Covariances are those of the given weights: multiply by the a posteriori variance factor.
using ShiftCovariance = Eigen::Matrix<double, photo_shift_count, photo_shift_count>;
struct BundleCovariance {
  Eigen::MatrixXd targets{};              // 6n: translation (mm), rotation vector (rad, from the left)
  std::vector<Eigen::MatrixXd> lenses{};  // each lens_parameter_count square; zero rows where held
  Eigen::MatrixXd joint{};                // all targets, then all sizes, then all lenses; zero where held
  std::vector<ShiftCovariance> shifts{};  // of each station
  double weighted_square_sum = 0.0;       // of all whitened residuals, expectations included
  int residuals = 0;
  int unknowns = 0;
  bool determined = true;  // false: something is not, and the numbers only serve to go on
  bool converged = true;   // the adjustment that this is the covariance of
  // Per observation (not rejected): whitened residual squared, and its expected value when the model holds
  // (its redundancy number: residual count minus the share that unknowns took up).
  std::vector<double> observation_square{};
  std::vector<double> observation_redundancy{};
  // The same of a tag's centre alone, the mean of its four corners; zero for other targets.
  std::vector<double> centre_square{};
  std::vector<double> centre_redundancy{};
};
BundleCovariance covariance(const Bundle& bundle);

// Both at once: the last step's factor gives the covariance as well.
BundleCovariance adjust_with_covariance(Bundle& bundle, const BundleOptions& options);

// Derivatives of an observation's whitened residuals, a row each, by tangent coordinates: station rotation,
// translation, shift; target translation, rotation; size; lens. Rotations are small rotation vectors from
// the left.
inline constexpr int first_shift = 6, station_width = first_shift + photo_shift_count, target_width = 6;
inline constexpr int local_width = station_width + target_width + 1 + lens_parameter_count;
Eigen::Matrix<double, Eigen::Dynamic, local_width> local_jacobian(const Bundle& bundle,
                                                                  const BundleObservation& observation);

// Pixel residuals (observed minus predicted) of one observation, 2n.
Eigen::VectorXd residuals_px(const Bundle& bundle, const BundleObservation& observation);

}  // namespace pivotfix
