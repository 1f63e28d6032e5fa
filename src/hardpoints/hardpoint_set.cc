// SPDX-License-Identifier: Apache-2.0
#include "hardpoints/hardpoint_set.h"

#include <algorithm>
#include <cmath>

#include "base/problem.h"
#include "base/units.h"

namespace pivotfix {
namespace {

template <typename Value>
struct Named {
  std::string_view name;
  Value value;
};

constexpr Named<Side> sides[] = {{"left", Side::left}, {"right", Side::right}};
constexpr Named<Layout> layouts[] = {{"strut", Layout::strut}, {"double-wishbone", Layout::double_wishbone}};
constexpr Named<RodEndMount> mounts[] = {{"below-arm", RodEndMount::below_arm},
                                         {"above-arm", RodEndMount::above_arm}};
constexpr Named<HeightAim> aims[] = {{"least-squares", HeightAim::least_squares},
                                     {"smallest-peak", HeightAim::smallest_peak},
                                     {"zero-slope", HeightAim::zero_slope}};

template <typename Value, std::size_t n>
std::string_view name_in(const Named<Value> (&table)[n], Value value) {
  for (const Named<Value>& row : table)
    if (row.value == value) return row.name;
  throw Problem(ProblemKind::internal, "A value without a name.", "Please report this.");
}

template <typename Value, std::size_t n>
Value value_in(const Named<Value> (&table)[n], std::string_view name, const std::string& noun) {
  std::string known;
  for (const Named<Value>& row : table) {
    if (row.name == name) return row.value;
    known += (known.empty() ? "'" : ", '") + std::string(row.name) + "'";
  }
  throw Problem(ProblemKind::input, "'" + std::string(name) + "' is no " + noun + ".",
                "Known are " + known + ".");
}

std::string csv_field(const std::string& text) {
  if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
  std::string quoted = "\"";
  for (char c : text) quoted += c == '"' ? std::string("\"\"") : std::string(1, c);
  return quoted + "\"";
}

}  // namespace

std::string_view name_of(Side side) {
  return name_in(sides, side);
}
std::string_view name_of(Layout layout) {
  return name_in(layouts, layout);
}
std::string_view name_of(RodEndMount mount) {
  return name_in(mounts, mount);
}
std::string_view name_of(HeightAim aim) {
  return name_in(aims, aim);
}
Side side_from_name(std::string_view name) {
  return value_in(sides, name, "side of the car");
}
Layout layout_from_name(std::string_view name) {
  return value_in(layouts, name, "suspension layout");
}
RodEndMount rod_end_mount_from_name(std::string_view name) {
  return value_in(mounts, name, "place of a rod end");
}
HeightAim height_aim_from_name(std::string_view name) {
  return value_in(aims, name, "aim");
}

const std::vector<std::string>& hardpoint_names(Layout layout) {
  static const std::vector<std::string> strut = {
      "lower_arm_front_pivot", "lower_arm_rear_pivot", "lower_ball_joint", "strut_top_mount",
      "strut_axis_low",        "link_inner_joint",     "link_outer_joint", "wheel_centre"};
  static const std::vector<std::string> double_wishbone = {
      "lower_arm_front_pivot", "lower_arm_rear_pivot", "lower_ball_joint",
      "upper_arm_front_pivot", "upper_arm_rear_pivot", "upper_ball_joint",
      "link_inner_joint",      "link_outer_joint",     "wheel_centre"};
  return layout == Layout::strut ? strut : double_wishbone;
}

std::size_t HardpointSet::index_of(std::string_view name) const {
  const auto found =
      std::find_if(points.begin(), points.end(), [&](const Hardpoint& point) { return point.name == name; });
  if (found == points.end())
    throw Problem(ProblemKind::input, "There is no hardpoint '" + std::string(name) + "'.",
                  "A " + std::string(name_of(layout)) + " corner needs it: measure it or type it in.");
  return static_cast<std::size_t>(found - points.begin());
}

const Eigen::Vector3d& HardpointSet::position_vehicle_mm(std::string_view name) const {
  return points[index_of(name)].position_vehicle_mm;
}

HardpointSet mirrored(const HardpointSet& set) {
  HardpointSet result = set;
  result.side = set.side == Side::left ? Side::right : Side::left;
  for (Hardpoint& point : result.points) point.position_vehicle_mm.y() *= -1.0;
  if (result.rod_end) result.rod_end->stud_axis_vehicle.y() *= -1.0;
  for (Eigen::Index i = 1; i < result.covariance_mm2.rows(); i += 3) {
    result.covariance_mm2.row(i) *= -1.0;
    result.covariance_mm2.col(i) *= -1.0;
  }
  return result;
}

double sigma_mm(const HardpointSet& set, std::size_t index, int coordinate) {
  const Eigen::Index i = static_cast<Eigen::Index>(3 * index) + coordinate;
  if (i >= set.covariance_mm2.rows()) return 0.0;
  return std::sqrt(std::max(0.0, set.covariance_mm2(i, i)));
}

std::string hardpoints_to_csv(const HardpointSet& set) {
  std::string csv = "name,x_mm,y_mm,z_mm,sigma_x_mm,sigma_y_mm,sigma_z_mm,way\n";
  const bool uncertain = set.covariance_mm2.size() > 0;
  for (std::size_t i = 0; i < set.points.size(); ++i) {
    const Hardpoint& point = set.points[i];
    csv += csv_field(point.name);
    for (int c = 0; c < 3; ++c) csv += "," + format_fixed(point.position_vehicle_mm[c], 4);
    for (int c = 0; c < 3; ++c) csv += "," + (uncertain ? format_fixed(sigma_mm(set, i, c), 4) : "");
    csv += "," + csv_field(point.way) + "\n";
  }
  return csv;
}

}  // namespace pivotfix
