// SPDX-License-Identifier: Apache-2.0
// Where each photo shows its tags, and how far that is from where the whole network wants them: for drawing.
#pragma once

#include <Eigen/Core>
#include <vector>

#include "network/network.h"

namespace pivotfix {

struct TagInPhoto {
  int number = -1;
  bool used = false;  // it took part; else it was rejected, or its photo was not used
  TagCorners corner_px{};
  // Of its centre, seen minus adjusted, as Network's rms_px counts it: mean over the four corners, fitted
  // knowing the lens. Zero when the tag or the photo has no place in the network.
  Eigen::Vector2d miss_px = Eigen::Vector2d::Zero();
};

// For each station of the network its sightings in their order; `photos` are those that the network was made
// from.
std::vector<std::vector<TagInPhoto>> tags_in_photos(const Network& network,
                                                    const std::vector<PhotoSightings>& photos);

}  // namespace pivotfix
