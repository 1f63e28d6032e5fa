// SPDX-License-Identifier: Apache-2.0
// From tags in space to pivots in vehicle axes, with the joint covariance of all coordinates.
#pragma once

#include <Eigen/Core>
#include <string>
#include <variant>
#include <vector>

#include "hardpoints/hardpoint_set.h"
#include "network/network.h"

namespace pivotfix {

// The pivot lies at `offset_tag_mm` in the tag's own axes (x right, y up, z out of the face); a stand-off of
// d millimetres behind the face is (0, 0, -d).
struct TagOffset {
  int tag = -1;
  Eigen::Vector3d offset_tag_mm = Eigen::Vector3d::Zero();
  double sigma_mm = 0.0;  // of each offset coordinate
};

// The pivot lies on the line between two tags' centres: 0 is the first, 1 the second.
struct TagPair {
  int first_tag = -1;
  int second_tag = -1;
  double fraction = 0.5;
  double sigma_mm = 0.0;  // of the pivot's place, each axis
};

// Measured by tape or plumb line, in vehicle axes.
struct ByHand {
  Eigen::Vector3d position_vehicle_mm = Eigen::Vector3d::Zero();
  double sigma_mm = 1.0;
};

using Way = std::variant<TagOffset, TagPair, ByHand>;

struct HardpointRecipe {
  std::string name{};
  Way way{};
  int line = 0;  // of the job file, for messages
};

// z is normal to the plane through the floor tags, x is the line forward_from -> forward_to laid into that
// plane. Origin: on the ground, at the wheel centre's x, `half_track_mm` inboard of it.
struct AxesRecipe {
  std::vector<int> floor_tags{};  // three at least, not in one line
  double floor_height_mm = 0.0;   // of their faces over the ground
  int forward_from = -1;
  int forward_to = -1;
  double forward_sigma_rad = 0.0;  // of that line's direction against the car's centre plane
  double half_track_mm = 0.0;
};

struct HardpointQuestion {
  Side side = Side::left;
  Layout layout = Layout::strut;
  AxesRecipe axes{};
  std::vector<HardpointRecipe> hardpoints{};
};

// Fills title-less set: side, layout, points and covariance. Throws Problem(refused) naming tag and hardpoint
// when a needed tag is not in the network or the floor does not make a plane.
HardpointSet locate_hardpoints(const Network& network, const HardpointQuestion& question);

// The same with what it rests on, for asking what better known tags would bring.
struct TracedHardpoints {
  HardpointSet set{};
  Eigen::MatrixXd by_tags{};  // 3n x 6m: coordinates of set.points by the network's tags, in their order
  RigidTransform vehicle_from_network{};
};
TracedHardpoints locate_hardpoints_traced(const Network& network, const HardpointQuestion& question);

}  // namespace pivotfix
