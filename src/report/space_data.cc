// SPDX-License-Identifier: Apache-2.0
#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cmath>

#include "hardpoints/bars.h"
#include "report/page_data.h"
#include "report/tables.h"

namespace pivotfix::report {
namespace {

using Json = nlohmann::ordered_json;

constexpr double largest_ellipsoid_mm = 25.0;  // as drawn, half across
constexpr double view_depth_mm = 70.0;         // of the pyramids that stand for photos

// To whole steps of which `steps` make one unit: divided, not multiplied, so that the text stays short.
Json json_of(const Eigen::Vector3d& point, double steps = 10.0) {
  Json list = Json::array();
  for (int i = 0; i < 3; ++i) list.push_back(std::round(point[i] * steps) / steps);
  return list;
}

// Semi-axes of the standard error ellipsoid, as vectors.
std::array<Eigen::Vector3d, 3> semi_axes_mm(const HardpointSet& set, std::size_t point) {
  const auto at = static_cast<Eigen::Index>(3 * point);
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d> solver(set.covariance_mm2.block<3, 3>(at, at));
  const double smallest = 1e-4 * solver.eigenvalues().maxCoeff();  // so that it stays a body
  std::array<Eigen::Vector3d, 3> axes;
  for (int i = 0; i < 3; ++i)
    axes[static_cast<std::size_t>(i)] =
        std::sqrt(std::max(smallest, solver.eigenvalues()[i])) * solver.eigenvectors().col(i);
  return axes;
}

Json points_data(const ReportInput& input) {
  const HardpointSet& set = input.hardpoints;
  const double enlargement = ellipsoid_enlargement(set);
  Json points = Json::array();
  for (std::size_t i = 0; i < set.points.size(); ++i) {
    Json point = {{"name", spoken(set.points[i].name)}, {"at", json_of(set.points[i].position_vehicle_mm)}};
    if (enlargement > 0.0 && semi_axes_mm(set, i)[2].norm() > 0.0)
      for (const Eigen::Vector3d& axis : semi_axes_mm(set, i))
        point["axes"].push_back(json_of(enlargement * axis, 1e4));
    points.push_back(point);
  }
  return points;
}

Json bars_data(const HardpointSet& set) {
  Json list = Json::array();
  for (const Bar& bar : bars_of(set))
    list.push_back({{"from", bar.from}, {"to", bar.to}, {"kind", bar.kind}});
  return list;
}

Eigen::Vector3d mirrored_y(const Eigen::Vector3d& point) {
  return {point.x(), -point.y(), point.z()};
}

// Each state's points one after the other, and the wheel's spin axis, outboard.
Json states_data(const ReportInput& input) {
  const HardpointSet& set = input.hardpoints;
  const bool right = set.side == Side::right;
  Json states = Json::array();
  for (const CornerState& state : input.exploration->motion.states) {
    Json points = Json::array();
    for (const Hardpoint& point : set.points) {
      Eigen::Vector3d at = point.position_vehicle_mm;
      if (!stays_on_body(point.name))
        at = right ? mirrored_y(state.moved_from_ride * mirrored_y(at)) : state.moved_from_ride * at;
      for (int i = 0; i < 3; ++i) points.push_back(std::round(at[i] * 10.0) / 10.0);
    }
    // toe = atan2(s_x, s_y), camber = -asin(s_z), docs/conventions.md
    const double flat = std::cos(state.camber_rad);
    const Eigen::Vector3d axis(flat * std::sin(state.toe_rad), flat * std::cos(state.toe_rad),
                               -std::sin(state.camber_rad));
    states.push_back({{"points", points}, {"axis", json_of(right ? mirrored_y(axis) : axis, 1e4)}});
  }
  return states;
}

Json tags_data(const ReportInput& input) {
  Json tags = Json::array();
  if (!input.network || !input.next_shots) return tags;
  const std::string& set = input.next_shots->set;
  for (const TagInSpace& tag : input.network->tags) {
    if (!set.empty() && !tag.set.empty() && tag.set != set) continue;  // it stands elsewhere there
    const RigidTransform vehicle_from_tag = input.next_shots->vehicle_from_network * tag.network_from_tag;
    Json corners = Json::array();
    for (const auto& [x, y] : {std::pair{-0.5, -0.5}, {0.5, -0.5}, {0.5, 0.5}, {-0.5, 0.5}})
      corners.push_back(json_of(vehicle_from_tag * Eigen::Vector3d(x * tag.side_mm, y * tag.side_mm, 0.0)));
    tags.push_back({{"number", tag.number}, {"corners", corners}});
  }
  return tags;
}

Json stations_data(const ReportInput& input) {
  Json stations = Json::array();
  if (!input.network || !input.next_shots) return stations;
  for (const Station& station : input.network->stations) {
    if (!station.used || station.lens < 0) continue;
    const LensEstimate& lens = input.network->lenses[static_cast<std::size_t>(station.lens)];
    const double across = view_depth_mm / std::max(lens.lens.focal_px(), 1.0);
    const RigidTransform vehicle_from_camera =
        input.next_shots->vehicle_from_network * station.network_from_camera;
    Json corners = Json::array();
    for (const auto& [x, y] : {std::pair{-0.5, -0.5}, {0.5, -0.5}, {0.5, 0.5}, {-0.5, 0.5}})
      corners.push_back(
          json_of(vehicle_from_camera *
                  Eigen::Vector3d(x * across * lens.width_px, y * across * lens.height_px, view_depth_mm)));
    stations.push_back({{"photo", station.photo},
                        {"at", json_of(vehicle_from_camera.translation_mm)},
                        {"corners", corners}});
  }
  return stations;
}

}  // namespace

double ellipsoid_enlargement(const HardpointSet& hardpoints) {
  if (!has_uncertainties(hardpoints)) return 0.0;
  double largest_mm = 0.0;
  for (std::size_t i = 0; i < hardpoints.points.size(); ++i)
    for (const Eigen::Vector3d& axis : semi_axes_mm(hardpoints, i))
      largest_mm = std::max(largest_mm, axis.norm());
  if (!(largest_mm > 0.0)) return 0.0;
  double enlargement = 1.0;
  for (const double factor : {2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0})
    if (factor * largest_mm <= largest_ellipsoid_mm) enlargement = factor;
  return enlargement;
}

Json space_data(const ReportInput& input) {
  const HardpointSet& set = input.hardpoints;
  Json wheel = Json::object();
  for (std::size_t i = 0; i < set.points.size(); ++i)
    if (set.points[i].name == "wheel_centre")
      wheel = {{"centre", i},
               {"radius", std::max(100.0, set.points[i].position_vehicle_mm.z())},
               {"rim_radius", 0.5 * set.wheel.rim_diameter_mm}};
  return {{"side", name_of(set.side)},   {"points", points_data(input)},
          {"bars", bars_data(set)},      {"wheel", wheel},
          {"tags", tags_data(input)},    {"stations", stations_data(input)},
          {"states", states_data(input)}};
}

}  // namespace pivotfix::report
