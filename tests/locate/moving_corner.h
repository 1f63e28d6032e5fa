// SPDX-License-Identifier: Apache-2.0
// An invented corner with tags on its parts, moved by Simbody: where every tag is at a height of the wheel.
#pragma once

#include <map>
#include <random>
#include <string>
#include <vector>

#include "base/rigid_transform.h"
#include "hardpoints/hardpoint_set.h"
#include "locate/rigid_bodies.h"
#include "network/network.h"

namespace pivotfix {

// How the corner stands while one set of photos is taken.
struct Stand {
  std::string set = "ride";  // "ride/turn 1": the part of a set
  double travel_mm = 0.0;
  double rack_mm = 0.0;        // to the left
  double link_roll_rad = 0.0;  // about its own length, which its ball joints leave free
  double hub_turn_rad = 0.0;
};

// Of the hub's tags, outboard of the wheel centre.
inline constexpr double hub_face_mm = 20.0;

// A strut's tube carries these three, the lowest first.
inline constexpr int first_tube_tag = 64;
inline constexpr double tube_stand_off_mm = 26.0;

struct CornerTag {
  int number = 0;
  std::string body{};  // "car" for what stays
  RigidTransform vehicle_from_tag_at_ride{};
};

struct MovingCorner {
  HardpointSet truth{};
  std::vector<CornerTag> tags{};
  std::vector<Body> bodies{};  // those that move

  const Body& body(const std::string& name) const;
  Eigen::Vector3d spin_axis() const;  // at ride height, outboard
  // Where the parts are: takes points from their place in the car at ride height.
  std::map<std::string, RigidTransform> poses(const Stand& stand) const;
};

// Tags of the same places on any corner of about that size.
MovingCorner moving_corner(const HardpointSet& truth);
MovingCorner moving_corner(Layout layout);

// The usual five heights, with the link rolled a little at each.
std::vector<Stand> five_heights();
// And two more with the steering turned.
std::vector<Stand> five_heights_and_steered();

// A network as photos would give it, in arbitrary axes, with independent errors of the tags. `sigma` zero:
// exact, with the covariance of tiny errors.
struct TagNoise {
  double place_mm = 0.0;
  double turn_rad = 0.0;
};
extern const RigidTransform network_from_vehicle;
Network made_up_network(const MovingCorner& corner, const std::vector<Stand>& stands, const TagNoise& noise,
                        unsigned seed);

// The same network in other axes, or as unsure as if another, less well known tag held its datum.
Network in_other_axes(Network network, const RigidTransform& other_from_network);
Network with_unsure_datum(Network network, double shift_mm, double turn_rad);

}  // namespace pivotfix
