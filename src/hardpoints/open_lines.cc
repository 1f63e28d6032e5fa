// SPDX-License-Identifier: Apache-2.0
#include "hardpoints/open_lines.h"

#include <string_view>
#include <utility>

#include "hardpoints/workshop_words.h"

namespace pivotfix {
namespace {

constexpr std::string_view any_point_of_the_axis = "strut_axis_low";

}  // namespace

bool tells_line_only(const Hardpoint& point) {
  return point.on_line_only || point.name == any_point_of_the_axis;
}

std::string other_pivot_on_line(const std::string& name) {
  using Ends = std::pair<std::string_view, std::string_view>;
  if (name == any_point_of_the_axis) return "strut_top_mount";
  for (const auto& [one, other] : {Ends{"front", "rear"}, Ends{"rear", "front"}})
    if (const auto at = name.find(one); at != std::string::npos)
      return std::string(name).replace(at, one.size(), other);
  return {};
}

std::set<std::string> pivots_on_line_only(const HardpointSet& set) {
  std::set<std::string> names;
  for (const Hardpoint& point : set.points)
    if (tells_line_only(point)) names.insert(point.name);
  return names;
}

void slide(Eigen::Index point_row, Eigen::Index other_row, double share, Eigen::MatrixXd& map) {
  map.block<3, 3>(point_row, point_row) = (1.0 - share) * Eigen::Matrix3d::Identity();
  map.block<3, 3>(point_row, other_row) = share * Eigen::Matrix3d::Identity();
}

void close_along(const Eigen::Vector3d& along, Eigen::Index first_row, Eigen::MatrixXd& covariance_mm2) {
  const Eigen::Matrix3d across = Eigen::Matrix3d::Identity() - along * along.transpose();
  auto rows = covariance_mm2.middleRows<3>(first_row);
  rows = (across * rows).eval();
  auto columns = covariance_mm2.middleCols<3>(first_row);
  columns = (columns * across).eval();
}

std::string listed(const std::set<std::string>& names) {
  std::string list;
  for (const std::string& name : names) list += (list.empty() ? "" : ", ") + workshop_words(name);
  return list;
}

}  // namespace pivotfix
