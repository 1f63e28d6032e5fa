// SPDX-License-Identifier: Apache-2.0
// From tags in space to pivots in vehicle axes, with the joint covariance of all coordinates.
#pragma once

#include <Eigen/Core>
#include <array>
#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "base/uncertain.h"
#include "hardpoints/hardpoint_set.h"
#include "locate/rigid_bodies.h"
#include "network/network.h"

namespace pivotfix {

// The pivot lies at `offset_tag_mm` in the tag's own axes (x right, y up, z out of the face); a stand-off of
// d millimetres behind the face is (0, 0, -d).
struct TagOffset {
  int tag = -1;
  Eigen::Vector3d offset_tag_mm = Eigen::Vector3d::Zero();
  double sigma_mm = 0.0;  // of each offset coordinate
  // In place of it across the face: a caliper knows the depth, an eye that the tag sits centred.
  std::optional<double> centring_sigma_mm{};
};

// The pivot lies on the line between two tags' centres: 0 is the first, 1 the second.
struct TagPair {
  int first_tag = -1;
  int second_tag = -1;
  double fraction = 0.5;
  double sigma_mm = 0.0;  // of the pivot's place, each axis
};

// Three tags or more round a part, in one plane: the pivot lies on their circle's axis, `stand_off_mm` behind
// the plane.
struct TagRing {
  std::vector<int> tags{};
  double stand_off_mm = 0.0;
  double sigma_mm = 0.0;  // of the pivot's place, each axis
};

// Two tags or more along a tube, the lowest first, their faces `stand_off_mm` outside its axis. The point is
// where the first tag's foot falls on the axis.
struct TagTube {
  std::vector<int> tags{};
  double stand_off_mm = 0.0;
  double sigma_mm = 0.0;  // of the stand-off, the same for all tags
};

// Touched with the pointer, in each of these sets ("ride/touch 1").
struct Touches {
  std::vector<std::string> sets{};
  double sigma_mm = 0.0;  // of the touched place against the pivot, each axis
};

// Measured by tape or plumb line, in vehicle axes.
struct ByHand {
  Eigen::Vector3d position_vehicle_mm = Eigen::Vector3d::Zero();
  Eigen::Vector3d sigma_vehicle_mm = Eigen::Vector3d::Ones();
};

// Only from how the parts moved.
struct ByMotion {
  double sigma_mm = 0.0;  // play or rubber of the joint, each axis
};

using Way = std::variant<TagOffset, TagPair, TagRing, TagTube, Touches, ByHand, ByMotion>;

struct HardpointRecipe {
  std::string name{};
  Way way{};
  bool motion = false;  // combine with what the parts' motion says
};

// A distance between two hardpoints, or a hardpoint and a tag's centre, measured by tape.
struct MeasuredDistance {
  std::string from{}, to{};
  double length_mm = 0.0;
  double sigma_mm = 1.0;
  int to_tag = -1;  // in place of `to`
};

// A body whose nose or left side was lifted more than the other end: the floor is level, the car is not.
struct BodyLevel {
  double nose_up_rad = 0.0;
  double left_up_rad = 0.0;
  double sigma_rad = 0.0;  // of each
};

// z is normal to the plane through the floor tags. Lengthwise, one of: the line forward_from -> forward_to;
// the direction in which `forward_tag` is read; square to the lines between like points on both sides; from
// the middle of the rear hubs to that of the front hubs. Origin: on the ground, at the wheel centre's x, in
// the centre plane: half way between like points or hubs, else `half_track_mm` inboard of the wheel.
struct AxesRecipe {
  static constexpr std::size_t fewest_floor_tags = 3, fewest_on_forward_line = 2;
  std::vector<int> floor_tags{};  // not in one line
  double floor_height_mm = 0.0;   // of their faces over the ground
  int forward_from = -1;
  int forward_to = -1;
  double forward_sigma_rad = 0.0;  // of that line's direction against the car's centre plane
  double half_track_mm = 0.0;
  double half_track_sigma_mm = 0.0;
  int forward_tag = -1;
  std::vector<std::pair<int, int>> like_points{};  // left, right
  std::optional<std::array<int, 4>> hubs{};        // front left, front right, rear left, rear right
  double like_sigma_mm = 0.0;                      // by how much like points or hubs are not alike
  std::vector<int> forward_between{};              // more tags on the forward line, between its ends
  double floor_sigma_mm = 0.0;  // of floor tags off an even floor, besides what they show themselves
  // How the body sits in the photos, against how it sits on its tyres; without a word, as it does there.
  std::optional<BodyLevel> level{};
};

// The distance from the wheel centre to a tag on the body when the car stood on its wheels: measured by tape,
// or seen in a photo set with the wheel on.
struct RideHeightRecipe {
  int body_tag = -1;
  double recorded_mm = 0.0;  // by tape, from a place `stand_off_mm` outside the wheel centre; zero: from
                             // photos
  double sigma_mm = 0.0;
  std::string wheel_set{};  // photos with the wheel on
  int wheel_tag = -1;       // on its cap, `stand_off_mm` outside the wheel centre
  double stand_off_mm = 0.0;
};

struct HardpointQuestion {
  Side side = Side::left;
  Layout layout = Layout::strut;
  AxesRecipe axes{};
  std::vector<HardpointRecipe> hardpoints{};
  std::vector<MeasuredDistance> distances{};
  // Parts that move, by name: lower_arm, upper_arm, knuckle, link, hub, pointer.
  std::vector<Body> bodies{};
  std::string reference_height{};              // the one that hardpoints are given at
  std::vector<std::string> heights{};          // all, in the order of the job
  std::vector<std::string> steered_heights{};  // where the rack was moved: say nothing of its joints
  std::vector<std::string> dent_sets{};        // where the pointer stood in its dent
  std::optional<RideHeightRecipe> ride_height{};
  std::vector<int> body_tags{};  // stay stuck, to lay a later measurement over this one
};

// The wheel in one set of photos.
struct WheelReading {
  std::string height{};
  double rise_mm = 0.0;  // of the wheel centre over its height in the reference set
  double toe_rad = 0.0, toe_sigma_rad = 0.0;
  double camber_rad = 0.0, camber_sigma_rad = 0.0;
  bool from_spin_axis = false;  // else from the plane of the hub's tags, runout included
  // Against the reference set, where what all sets have in common (the car's axes) drops out.
  double toe_change_sigma_rad = 0.0;
  double rise_sigma_mm = 0.0;
};

// Distance from wheel centre to the body's tag, against the recorded one.
struct RideHeightReading {
  std::string height{};
  double distance_mm = 0.0;
  double recorded_mm = 0.0;
  double above_mm = 0.0;  // of the wheel over its recorded height, that is, of bump
  double sigma_mm = 0.0;
};

// What the car's centre plane rests on, and how that enters the pivots' uncertainty.
struct CentrePlane {
  std::string words{};          // "lies half way between the hubs of both axles ..."
  double shift_sigma_mm = 0.0;  // of all pivots together, sideways
  double turn_sigma_rad = 0.0;  // of all pivots together, about the vertical
};

// Columns of Located::by_stated that are no pivot's own: an error of the axes or of a tape.
struct StatedBesides {
  std::string words{};  // "the tape of half the track"
  Eigen::Index first = 0, count = 1;
};

struct Located {
  HardpointSet hardpoints{};
  std::vector<HardpointRecipe> recipes{};  // in the order of hardpoints.points
  // What they rest on, for asking what better known tags would bring: 3n x 6m, coordinates of the points by
  // the network's tags, in their order; what motion and tape say besides is left aside.
  Eigen::MatrixXd by_tags{};
  // The same by what was stated, with what motion and tape say weighed in. The inputs, whose covariance it
  // was before that, are independent but for those of one pivot: three figures of each recipe for its place,
  // those of a TagOffset in the tag's axes, so that the third is its stand-off; then `stated_besides`.
  Eigen::MatrixXd by_stated{}, stated_covariance{};
  std::vector<StatedBesides> stated_besides{};
  RigidTransform vehicle_from_network{};
  std::vector<WheelReading> wheel{};             // with tags on the hub
  std::vector<RideHeightReading> ride_height{};  // with a recorded one
  CentrePlane centre_plane{};
  std::vector<std::string> notes{};  // for people: what was left open, what disagreed
};

// Fills title-less set: side, layout, points and covariance. Throws Problem(refused) naming tag and hardpoint
// when a needed tag is not in the network or the floor does not make a plane.
Located locate(const Network& network, const HardpointQuestion& question);

// Toe in each photo set, as readings to hold against the hardpoints. Only to be compared where any pivot
// rests on the motion that the same tags show. Empty with fewer than two sets that show the hub.
std::vector<ToeReading> toe_readings(const Located& located, const HardpointQuestion& question);

// Camber where the hardpoints are given; nothing where the hub does not show it there. From the plane of the
// hub's tags it is less certain than the photos say, by what these are usually out of true.
std::optional<Uncertain> camber_at_reference(const Located& located, const HardpointQuestion& question);

}  // namespace pivotfix
