// SPDX-License-Identifier: Apache-2.0
#include "hardpoints/hardpoint_set.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <span>

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
constexpr Named<Layout> layouts[] = {{"strut", Layout::strut},
                                     {"strut-two-links", Layout::strut_two_links},
                                     {"double-wishbone", Layout::double_wishbone},
                                     {"double-wishbone-upper-spring", Layout::double_wishbone_upper_spring},
                                     {"five-link", Layout::five_link}};
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

// People write "Left" and "double wishbone", too.
bool means(std::string_view typed, std::string_view name) {
  const auto plain = [](char c) {
    if (c >= 'A' && c <= 'Z') return static_cast<char>(c - 'A' + 'a');
    return c == '_' || c == ' ' ? '-' : c;
  };
  return std::equal(typed.begin(), typed.end(), name.begin(), name.end(),
                    [&](char a, char b) { return plain(a) == b; });
}

template <typename Value, std::size_t n>
Value value_in(const Named<Value> (&table)[n], std::string_view name, const std::string& noun) {
  std::string known;
  for (const Named<Value>& row : table) {
    if (means(name, row.name)) return row.value;
    known += (known.empty() ? "'" : ", '") + std::string(row.name) + "'";
  }
  throw Problem(ProblemKind::input, "'" + std::string(name) + "' is no " + noun + ".",
                "Known are " + known + ".");
}

// The parts that layouts are made of.
using Names = std::span<const char* const>;
constexpr std::array lower_arm{"lower_arm_front_pivot", "lower_arm_rear_pivot", "lower_ball_joint"};
constexpr std::array upper_arm{"upper_arm_front_pivot", "upper_arm_rear_pivot", "upper_ball_joint"};
constexpr std::array lower_links{"lower_front_link_inner_joint", "lower_front_link_outer_joint",
                                 "lower_rear_link_inner_joint", "lower_rear_link_outer_joint"};
constexpr std::array upper_links{"upper_front_link_inner_joint", "upper_front_link_outer_joint",
                                 "upper_rear_link_inner_joint", "upper_rear_link_outer_joint"};
constexpr std::array strut{"strut_top_mount", "strut_axis_low"};
constexpr std::array link_and_wheel{"link_inner_joint", "link_outer_joint", "wheel_centre"};

std::vector<std::string> names_from(Names lower, Names upper) {
  std::vector<std::string> names(lower.begin(), lower.end());
  names.insert(names.end(), upper.begin(), upper.end());
  names.insert(names.end(), link_and_wheel.begin(), link_and_wheel.end());
  return names;
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

const std::vector<Layout>& all_layouts() {
  static const std::vector<Layout> all = [] {
    std::vector<Layout> list;
    for (const Named<Layout>& row : layouts) list.push_back(row.value);
    return list;
  }();
  return all;
}

std::string words_of(Layout layout) {
  switch (layout) {
    case Layout::strut:
      return "strut";
    case Layout::strut_two_links:
      return "strut with two lower links";
    case Layout::double_wishbone:
      return "double wishbone";
    case Layout::double_wishbone_upper_spring:
      return "double wishbone with the spring on the upper arm";
    case Layout::five_link:
      return "five links";
  }
  return std::string(name_of(layout));
}

std::string layout_list(const std::string& between) {
  std::string list;
  for (const Named<Layout>& row : layouts) list += (list.empty() ? "" : between) + std::string(row.name);
  return list;
}

bool has_strut(Layout layout) {
  return layout == Layout::strut || layout == Layout::strut_two_links;
}
bool has_lower_links(Layout layout) {
  return layout == Layout::strut_two_links || layout == Layout::five_link;
}
bool has_upper_links(Layout layout) {
  return layout == Layout::five_link;
}

const std::vector<std::string>& hardpoint_names(Layout layout) {
  static const std::vector<std::string> with_strut = names_from(lower_arm, strut);
  static const std::vector<std::string> with_strut_and_links = names_from(lower_links, strut);
  static const std::vector<std::string> with_arms = names_from(lower_arm, upper_arm);
  static const std::vector<std::string> with_links = names_from(lower_links, upper_links);
  switch (layout) {
    case Layout::strut:
      return with_strut;
    case Layout::strut_two_links:
      return with_strut_and_links;
    case Layout::double_wishbone:
    case Layout::double_wishbone_upper_spring:
      return with_arms;
    case Layout::five_link:
      return with_links;
  }
  throw Problem(ProblemKind::internal, "A layout without hardpoints.", "Please report this.");
}

WheelSetting with_camber_of_photos(const WheelSetting& stated, const Uncertain& camber_rad) {
  WheelSetting wheel = stated;
  if (stated.camber_is_known) return wheel;
  wheel.camber_rad = camber_rad.value;
  wheel.camber_sigma_rad = camber_rad.sigma;
  wheel.camber_is_known = wheel.camber_from_photos = true;
  return wheel;
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
  result.rack_axis_vehicle.x() *= -1.0;  // an axis either way round: mirrored and turned, y stays positive
  result.rack_axis_vehicle.z() *= -1.0;
  if (result.rod_end) result.rod_end->stud_axis_vehicle.y() *= -1.0;
  for (Eigen::Index i = 1; i < result.covariance_mm2.rows(); i += 3) {
    result.covariance_mm2.row(i) *= -1.0;
    result.covariance_mm2.col(i) *= -1.0;
  }
  BodyTags& tags = result.body_tags;
  for (Eigen::Vector3d& centre_mm : tags.centres_vehicle_mm) centre_mm.y() *= -1.0;
  for (Eigen::Index i = 1; i < tags.covariance_mm2.rows(); i += 3) tags.covariance_mm2.row(i) *= -1.0;
  for (Eigen::Index i = 1; i < tags.covariance_mm2.cols(); i += 3) tags.covariance_mm2.col(i) *= -1.0;
  return result;
}

double sigma_mm(const HardpointSet& set, std::size_t index, int coordinate) {
  const Eigen::Index i = static_cast<Eigen::Index>(3 * index) + coordinate;
  if (i >= set.covariance_mm2.rows()) return 0.0;
  return std::sqrt(std::max(0.0, set.covariance_mm2(i, i)));
}

}  // namespace pivotfix
