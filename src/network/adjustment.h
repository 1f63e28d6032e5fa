// SPDX-License-Identifier: Apache-2.0
// A finished adjustment, and its telling in the words of the public header. Private to the network stage.
#pragma once

#include "bundle/bundle.h"
#include "network/network.h"
#include "network/network_builder.h"

namespace pivotfix {

struct Adjustment {
  StartedBundle started{};
  BundleCovariance found{};
  CrossValidation cross_validation{};
  double noise_scale = 1.0;  // by which the edge fits' own standard deviations were multiplied
  // By which all stated standard deviations grow, the largest of: halves that differ or few photos, pictures
  // that are bent, no end of the rounds.
  double widened = 1.0;
  double widened_for_count = 1.0, widened_for_bend = 1.0;
  bool settled = true;  // false: weights and rejections still changed in the last round
};

// The whole of it from a started bundle: rounds of weighing, solving and rejecting, then odd against even
// photos.
Adjustment adjust_in_rounds(StartedBundle started, const NetworkInput& input);

Network describe(const Adjustment& done, const NetworkInput& input);

}  // namespace pivotfix
