// SPDX-License-Identifier: Apache-2.0
// Steps of the start of an adjustment. Private to the network stage.
#pragma once

#include "network/network_builder.h"
#include "network/start.h"

namespace pivotfix {

// Numbers photos, tags, lenses and sightings; nothing has a place yet. Throws Problem(refused) with too few
// photos or tags.
StartedBundle unplaced_bundle(const NetworkInput& input);

// Poses into the bundle; sightings of what has none are rejected.
void take_poses(const StartPoses& poses, StartedBundle& started);

// As `find_start` wants them, under lenses whose focal lengths are multiplied by `focal_factor`.
std::vector<StartSighting> start_sightings(const StartedBundle& started, double focal_factor);
std::vector<std::array<Eigen::Vector3d, 4>> corners_of_targets(const StartedBundle& started);

}  // namespace pivotfix
