// SPDX-License-Identifier: Apache-2.0
// First guess of all poses without any prior knowledge of where the cameras stood. Private to the network
// stage.
//
// Each sighting allows two poses of its tag (the mirror ambiguity of a small plane). Two tags that appear
// together in several photos vote: only the true relative pose is the same in all of them. The most certain
// relative poses chain all tags together; photos and tags are then placed by vote among all sightings.
#pragma once

#include <Eigen/Core>
#include <array>
#include <optional>
#include <vector>

#include "base/rigid_transform.h"
#include "network/planar_pose.h"

namespace pivotfix {

struct StartSighting {
  int photo = 0;
  int tag = 0;  // index, not number
  std::array<Eigen::Vector2d, 4>
      direction{};  // x, y of (x, y, 1) per corner, distortion removed as far as known
  PlanarPoses poses{};
};

struct StartPoses {
  std::vector<std::optional<RigidTransform>> camera_from_network{};  // per photo
  std::vector<std::optional<RigidTransform>> network_from_tag{};     // per tag; the root tag is the frame
  int root_tag = 0;
  double misfit = 0.0;  // mean capped misfit of all sightings, in units of direction
};

// `corner_tag_mm` per tag. Order of sightings does not matter, nor does the number of threads.
StartPoses find_start(const std::vector<StartSighting>& sightings, int photos,
                      const std::vector<std::array<Eigen::Vector3d, 4>>& corner_tag_mm, int threads);

// One photo by vote of its sightings of tags that are placed; empty when there are none.
struct StartPhoto {
  RigidTransform camera_from_network{};
  double misfit = 0.0;  // mean, capped
};
std::optional<StartPhoto> place_photo(int photo, const std::vector<const StartSighting*>& sightings,
                                      const StartPoses& poses,
                                      const std::vector<std::array<Eigen::Vector3d, 4>>& corner_tag_mm);

// Places photos and tags anew by vote around given poses: repairs what a first adjustment left mirrored.
StartPoses vote_again(const StartPoses& poses, const std::vector<StartSighting>& sightings,
                      const std::vector<std::array<Eigen::Vector3d, 4>>& corner_tag_mm, int threads);

}  // namespace pivotfix
