// SPDX-License-Identifier: Apache-2.0
// A finished adjustment, and its telling in the words of the public header. Private to the network stage.
#pragma once

#include "network/bundle.h"
#include "network/network.h"
#include "network/network_builder.h"

namespace pivotfix {

struct Adjustment {
  StartedBundle started{};
  BundleCovariance found{};
  CrossValidation cross_validation{};
  double noise_scale = 1.0;  // by which the edge fits' own standard deviations were multiplied
};

Network describe(const Adjustment& done, const NetworkInput& input);

}  // namespace pivotfix
