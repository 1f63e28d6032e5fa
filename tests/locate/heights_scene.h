// SPDX-License-Identifier: Apache-2.0
// A made-up corner to be photographed at five heights of the wheel, as a user would: twelve photos at each,
// the link twisted a little before each, the hub turned twice at ride height, and, if wished, two more sets
// with the steering turned. Who makes sightings of it (rendered pictures or simulated edges) is the caller's
// choice. World axes are the vehicle's; Simbody moves the parts.
#pragma once

#include <vector>

#include "locate/locate_hardpoints.h"
#include "locate/moving_corner.h"
#include "network/network.h"

namespace pivotfix {

struct HeightsWish {
  Layout layout = Layout::strut;
  bool steered = true;
  int photos_per_set = 12;
  unsigned seed = 1;
  bool runout = true;  // of the disc that carries the hub's tags; the wheel centre's sigma allows for it
};

struct PlannedView {
  std::size_t stand = 0;
  Eigen::Vector3d place_vehicle_mm = Eigen::Vector3d::Zero();
  Eigen::Vector3d aim_vehicle_mm = Eigen::Vector3d::Zero();
  double roll_rad = 0.0;
};

struct TagAt {
  int number = 0;
  RigidTransform vehicle_from_tag{};
};

struct HeightsScene {
  MovingCorner corner{};
  std::vector<Stand> stands{};
  std::vector<std::vector<TagAt>> tags{};  // by stand
  std::vector<PlannedView> views{};
  HardpointQuestion question{};  // every pivot from motion alone, but for the wheel centre
  NetworkInput input{};          // without photos
};

HeightsScene heights_scene(const HeightsWish& wish);

// The strut's axis from the tags along its tube.
HardpointQuestion with_tube(HardpointQuestion question);

// The photo's place in the job: "ride/turn 1" is part "turn 1" of the set "ride".
PhotoSightings named_photo(const HeightsScene& scene, std::size_t view, const CameraDescription& camera);

}  // namespace pivotfix
