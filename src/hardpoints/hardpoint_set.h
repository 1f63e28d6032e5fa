// SPDX-License-Identifier: Apache-2.0
// A corner as found: pivot centres in vehicle axes with their joint covariance, and what the user said of
// wheel, rod end and travel. This is what `locate` writes and `steer` reads, also typed in by hand.
//
// Vehicle axes after ISO 8855: x forward, y left, z up; origin on the ground below the front axle's middle.
#pragma once

#include <Eigen/Core>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/uncertain.h"
#include "hardpoints/driving.h"
#include "hardpoints/record.h"
#include "hardpoints/rod_end.h"

namespace pivotfix {

enum class Side { left, right };
enum class Layout { strut, strut_two_links, double_wishbone, double_wishbone_upper_spring, five_link };

std::string_view name_of(Side side);             // "left", "right"
std::string_view name_of(Layout layout);         // "strut", "double-wishbone", see below
Side side_from_name(std::string_view name);      // throws Problem(input) listing what is known
Layout layout_from_name(std::string_view name);  // likewise

const std::vector<Layout>& all_layouts();
std::string words_of(Layout layout);                  // for people: "strut with two lower links"
std::string layout_list(const std::string& between);  // all names, in that order
bool has_strut(Layout layout);
bool has_lower_links(Layout layout);  // two separate links in place of the lower arm
bool has_upper_links(Layout layout);

// The hardpoints that a layout needs, in the order of reports. All layouts end with
//   link_inner_joint link_outer_joint wheel_centre
// and begin with
// strut:                        lower_arm_front_pivot lower_arm_rear_pivot lower_ball_joint
//                               strut_top_mount strut_axis_low
// strut-two-links:              lower_front_link_inner_joint lower_front_link_outer_joint
//                               lower_rear_link_inner_joint lower_rear_link_outer_joint
//                               strut_top_mount strut_axis_low
// double-wishbone:              lower_arm_front_pivot lower_arm_rear_pivot lower_ball_joint
//                               upper_arm_front_pivot upper_arm_rear_pivot upper_ball_joint
// double-wishbone-upper-spring: the same: where the spring stands does not change how the wheel moves
// five-link:                    the four lower ones of strut-two-links, the same four with upper_
// The inner link joint is the one that the rack moves, or the joint on the centre link of a steering box.
const std::vector<std::string>& hardpoint_names(Layout layout);

struct Hardpoint {
  std::string name{};
  Eigen::Vector3d position_vehicle_mm = Eigen::Vector3d::Zero();
  std::string way{};  // how it was found, in words: "tag 11, 26.00 mm behind its face"
  // Only the line through it and its part's other pivot is known, from the part's motion or as the mean of
  // cars that know no more: where on it is arbitrary. Nothing that moves depends on that, and the covariance
  // does not have it in (open_lines.h).
  bool on_line_only = false;
};

// The wheel as it stands at ride height; signs as reports print them: toe-in positive, camber positive with
// the top outwards.
struct WheelSetting {
  double toe_rad = 0.0;
  double camber_rad = 0.0;
  double rim_diameter_mm = 406.4;
  // Whether anybody read them; where not, zero stands in and nobody may be told to set it.
  bool toe_is_known = false, camber_is_known = false;
  // Of a known camber; zero where nobody says it.
  double camber_sigma_rad = 0.0;
  // Read from the tags on the hub, where the points were found: not stated by anybody.
  bool camber_from_photos = false;
};

// As stated; a camber that nobody stated is that of the photos.
WheelSetting with_camber_of_photos(const WheelSetting& stated, const Uncertain& camber_rad);

// How far the wheel stood above its recorded ride height (in bump) where the points were found.
struct RideHeightMiss {
  double above_mm = 0.0;
  double sigma_mm = 0.0;
};

struct HardpointSet {
  std::string title{};
  Side side = Side::left;
  Layout layout = Layout::strut;
  std::vector<Hardpoint> points{};
  // 3n x 3n in the order of `points`, x y z each; empty when uncertainties are not known.
  Eigen::MatrixXd covariance_mm2{};
  WheelSetting wheel{};
  // Direction in which the inner link joint travels when the wheels are steered, unit vector, y positive: the
  // rack's axis; with a steering box the centre link's own direction of travel near straight ahead.
  Eigen::Vector3d rack_axis_vehicle{0.0, 1.0, 0.0};
  std::optional<RodEnd> rod_end{};
  std::optional<Driving> driving{};
  std::vector<ToeReading> readings{};
  std::optional<RideHeightMiss> ride_height{};  // when it was recorded
  std::string program_version{};
  Record record{};
  BodyTags body_tags{};
  std::string other_fields_json{};  // fields of a file that this version does not know, kept on writing

  // Throws Problem(input) when there is none of that name.
  std::size_t index_of(std::string_view name) const;
  const Eigen::Vector3d& position_vehicle_mm(std::string_view name) const;
};

// A right corner as the left one that mirrors it (y reversed) and back; covariance and axes included.
HardpointSet mirrored(const HardpointSet& set);

// Standard uncertainty of coordinate 0..2 of point `index`; zero when not known.
double sigma_mm(const HardpointSet& set, std::size_t index, int coordinate);

// The file formats. `file` is only for messages. Throws Problem(input) with the line where there is one.
// JSON: docs/hardpoint-file.md has the fields. Written with positions to 1e-6 mm; a file may leave
// points out (make_corner says which are missing), may give lengths as text with their unit, and keeps
// unknown fields.
std::string hardpoints_to_json(const HardpointSet& set);
HardpointSet hardpoints_from_json(const std::string& text, const std::string& file);

// CSV for spreadsheets, written with commas and points, read with commas, semicolons or tabs between the
// fields and, where the fields have no commas between them, decimal commas too. It has no place for more than
// points and their sigma: side and layout are told from the points themselves, unless they are given.
struct CsvHints {
  std::optional<Side> side{};
  std::optional<Layout> layout{};
};
std::string hardpoints_to_csv(const HardpointSet& set);
HardpointSet hardpoints_from_csv(const std::string& text, const std::string& file,
                                 const CsvHints& hints = {});

// Drawing for CAD, millimetres in vehicle axes: a POINT with its name beside it for every hardpoint, a LINE
// for every arm, link and strut, on one layer each. ASCII DXF of AutoCAD release 12, group codes after
// Autodesk's published "DXF Reference".
std::string hardpoints_to_dxf(const HardpointSet& set);

}  // namespace pivotfix
