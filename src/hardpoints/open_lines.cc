// SPDX-License-Identifier: Apache-2.0
#include "hardpoints/open_lines.h"

#include <algorithm>
#include <string_view>

#include "hardpoints/workshop_words.h"

namespace pivotfix {
namespace {

const Hardpoint* find_point(const HardpointSet& set, const std::string& name) {
  const auto found = std::find_if(set.points.begin(), set.points.end(),
                                  [&](const Hardpoint& point) { return point.name == name; });
  return found == set.points.end() ? nullptr : &*found;
}

}  // namespace

std::string other_pivot_on_line(const std::string& name) {
  using Ends = std::pair<std::string_view, std::string_view>;
  if (name == "strut_axis_low") return "strut_top_mount";
  for (const auto& [one, other] : {Ends{"front", "rear"}, Ends{"rear", "front"}})
    if (const auto at = name.find(one); at != std::string::npos)
      return std::string(name).replace(at, one.size(), other);
  return {};
}

std::set<std::string> pivots_on_line_only(const HardpointSet& set) {
  std::set<std::string> names;
  for (const Hardpoint& point : set.points)
    if (point.on_line_only) names.insert(point.name);
  return names;
}

void open_along_line(const HardpointSet& set, const std::string& name,
                     Eigen::Ref<Eigen::Matrix3d> covariance_mm2) {
  const Hardpoint* const point = find_point(set, name);
  const Hardpoint* const other = find_point(set, other_pivot_on_line(name));
  if (point == nullptr || other == nullptr || !point->on_line_only) return;
  const Eigen::Vector3d along_mm = other->position_vehicle_mm - point->position_vehicle_mm;
  if (!(along_mm.norm() > 0.0)) return;
  const Eigen::Vector3d along = along_mm.normalized();
  covariance_mm2 += nothing_known_mm * nothing_known_mm * along * along.transpose();
}

std::string listed(const std::set<std::string>& names) {
  std::string list;
  for (const std::string& name : names) list += (list.empty() ? "" : ", ") + workshop_words(name);
  return list;
}

}  // namespace pivotfix
