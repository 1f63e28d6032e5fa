// SPDX-License-Identifier: Apache-2.0
// From points on a target to whitened residuals, with derivatives. Private to the network stage.
#pragma once

#include "network/bundle.h"

namespace pivotfix {

// What one observation depends on, wherever the adjustment keeps it at the moment.
struct ObservedState {
  const RigidTransform& camera_from_network;
  const PhotoShift& shift;
  const RigidTransform& network_from_target;
  double size = 1.0;
  const Lens& lens;
};

Eigen::VectorXd whitened_residuals(const BundleObservation& observation, const ObservedState& state);

// See `local_jacobian`.
Eigen::Matrix<double, Eigen::Dynamic, local_width> whitened_jacobian(const BundleObservation& observation,
                                                                     const ObservedState& state);

}  // namespace pivotfix
