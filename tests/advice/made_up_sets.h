// SPDX-License-Identifier: Apache-2.0
// Hardpoints of a parallelogram whose right answer is known without solving.
#pragma once

#include "corner/example_corners.h"

namespace pivotfix {

// The outer end `high_mm` too high, everything else perfect.
inline HardpointSet high_set(double high_mm) {
  Parallelogram high;
  high.outer_high_mm = high_mm;
  return high.set();
}

inline HardpointSet with_sigma(HardpointSet set, double sigma_mm) {
  const Eigen::Index n = static_cast<Eigen::Index>(3 * set.points.size());
  set.covariance_mm2 = sigma_mm * sigma_mm * Eigen::MatrixXd::Identity(n, n);
  return set;
}

}  // namespace pivotfix
