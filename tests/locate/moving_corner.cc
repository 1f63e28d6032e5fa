// SPDX-License-Identifier: Apache-2.0
#include "locate/moving_corner.h"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <set>
#include <stdexcept>

#include "base/units.h"
#include "corner/example_corners.h"
#include "outside/simbody_assembly.h"

namespace pivotfix {

namespace {

using Eigen::Matrix3d;
using Eigen::Quaterniond;
using Eigen::Vector3d;

RigidTransform transform_of(const PartPose& pose) {
  Matrix3d turn;
  for (int row = 0; row < 3; ++row)
    for (int column = 0; column < 3; ++column) turn(row, column) = pose.rotation[3 * row + column];
  return {Quaterniond(turn), {pose.translation[0], pose.translation[1], pose.translation[2]}};
}

RigidTransform turn_about(const Vector3d& point_mm, const Quaterniond& turn) {
  return {turn, point_mm - turn * point_mm};
}

struct Cluster {
  std::string body;
  int first_number;
  std::vector<Vector3d> places_mm;
};

std::vector<std::string> links_of(Layout layout) {
  std::vector<std::string> links{"link"};
  if (has_lower_links(layout)) links.insert(links.end(), {"lower_front_link", "lower_rear_link"});
  if (has_upper_links(layout)) links.insert(links.end(), {"upper_front_link", "upper_rear_link"});
  return links;
}

std::vector<Cluster> clusters(Layout layout) {
  std::vector<Cluster> all{
      {"floor",
       0,
       {{400, 1000, 0},
        {-400, 1000, 0},
        {-30, 660, 0},
        {210, 640, 0},
        {-250, 620, 0},
        {430, 720, 0},
        {-450, 900, 0},
        {450, 900, 0}}},
      {"car",
       30,
       {{-430, 560, 760},
        {430, 560, 740},
        {-450, 560, 380},
        {440, 560, 420},
        {-180, 520, 930},
        {200, 520, 930}}},
      {"knuckle", 40, {{95, 720, 200}, {-100, 720, 190}, {100, 705, 420}, {-95, 700, 400}}},
      {"link", 52, {{-170, 430, 285}, {-190, 530, 250}, {-175, 620, 330}}},
      {"floor", 60, {{-300, 1060, 0}, {-100, 1060, 0}, {100, 1060, 0}, {300, 1060, 0}}}};
  if (!has_lower_links(layout))
    all.push_back({"lower_arm", 44, {{150, 420, 120}, {-90, 430, 110}, {170, 560, 120}, {-20, 640, 110}}});
  if (layout == Layout::double_wishbone)
    all.push_back({"upper_arm", 48, {{160, 500, 520}, {-150, 510, 520}, {170, 590, 540}, {-150, 620, 540}}});
  return all;
}

}  // namespace

const RigidTransform network_from_vehicle{Quaterniond(0.4, -0.5, 0.3, 0.7).normalized(), {120, -340, 900}};

const Body& MovingCorner::body(const std::string& name) const {
  for (const Body& body : bodies)
    if (body.name == name) return body;
  throw std::runtime_error("no body " + name);
}

Vector3d MovingCorner::spin_axis() const {
  const double toe = truth.wheel.toe_rad, camber = truth.wheel.camber_rad;
  return {std::sin(toe) * std::cos(camber), std::cos(toe) * std::cos(camber), -std::sin(camber)};
}

std::map<std::string, RigidTransform> MovingCorner::poses(const Stand& stand) const {
  NamedPoints points;
  for (const Hardpoint& point : truth.points)
    points[point.name] = {point.position_vehicle_mm.x(), point.position_vehicle_mm.y(),
                          point.position_vehicle_mm.z()};
  std::map<std::string, RigidTransform> result{{"car", {}}, {"floor", {}}};
  for (const auto& [name, pose] : parts_by_simbody(points, stand.travel_mm, stand.rack_mm))
    result[name] = transform_of(pose);
  const RigidTransform knuckle = result.at("knuckle");
  double twist_rad = stand.link_roll_rad;
  for (const std::string& link : links_of(truth.layout)) {
    const Vector3d inner_mm = truth.position_vehicle_mm(link + "_inner_joint");
    const Vector3d outer_mm = truth.position_vehicle_mm(link + "_outer_joint");
    const Vector3d inner_now_mm = inner_mm + Vector3d(0, link == "link" ? stand.rack_mm : 0.0, 0);
    const Vector3d along_mm = outer_mm - inner_mm, along_now_mm = knuckle * outer_mm - inner_now_mm;
    const Quaterniond turn = Quaterniond(Eigen::AngleAxisd(twist_rad, along_now_mm.normalized())) *
                             Quaterniond::FromTwoVectors(along_mm, along_now_mm);
    result[link] = {turn, inner_now_mm - turn * inner_mm};
    twist_rad = 0.1 - 1.3 * twist_rad;  // each link another way
  }
  result["hub"] = knuckle * turn_about(truth.position_vehicle_mm("wheel_centre"),
                                       Quaterniond(Eigen::AngleAxisd(stand.hub_turn_rad, spin_axis())));
  return result;
}

namespace {

// Four round the hub, on a plane square to its axis.
Cluster hub_cluster(const MovingCorner& corner) {
  const Vector3d spin = corner.spin_axis();
  const Vector3d ahead = (Vector3d::UnitX() - spin.x() * spin).normalized(), up = ahead.cross(spin);
  const Vector3d middle_mm = corner.truth.position_vehicle_mm("wheel_centre") + hub_face_mm * spin;
  constexpr double radius_mm = 90.0;
  return {"hub",
          56,
          {middle_mm + radius_mm * ahead, middle_mm + radius_mm * up, middle_mm - radius_mm * ahead,
           middle_mm - radius_mm * up}};
}

// Three along each link that stands in an arm's place, beside its middle line.
std::vector<Cluster> link_clusters(const HardpointSet& truth) {
  std::vector<Cluster> all;
  int number = 70;
  for (const std::string& link : links_of(truth.layout)) {
    if (link == "link") continue;
    const Vector3d inner_mm = truth.position_vehicle_mm(link + "_inner_joint");
    const Vector3d along_mm = truth.position_vehicle_mm(link + "_outer_joint") - inner_mm;
    Cluster cluster{link, number, {}};
    for (const auto& [fraction, up_mm] : {std::pair{0.2, 40.0}, {0.5, -40.0}, {0.8, 40.0}})
      cluster.places_mm.push_back(inner_mm + fraction * along_mm + Vector3d(0, 0, up_mm));
    all.push_back(cluster);
    number += 3;
  }
  return all;
}

// Three up the strut's tube, which is one piece with the knuckle.
std::vector<CornerTag> tube_tags(const HardpointSet& truth) {
  const Vector3d low_mm = truth.position_vehicle_mm("strut_axis_low");
  const Vector3d up_mm = truth.position_vehicle_mm("strut_top_mount") - low_mm;
  const Vector3d outwards =
      (Vector3d(0.2, 1.0, 0.0) - up_mm * up_mm.dot(Vector3d(0.2, 1.0, 0.0)) / up_mm.squaredNorm())
          .normalized();
  const Quaterniond face = Quaterniond::FromTwoVectors(Vector3d::UnitZ(), outwards);
  std::vector<CornerTag> tags;
  for (const double fraction : {0.05, 0.2, 0.35})
    tags.push_back({first_tube_tag + static_cast<int>(tags.size()),
                    "knuckle",
                    {face, low_mm + fraction * up_mm + tube_stand_off_mm * outwards}});
  return tags;
}

}  // namespace

MovingCorner moving_corner(const HardpointSet& truth) {
  MovingCorner corner;
  corner.truth = truth;
  std::mt19937 random(11);
  std::uniform_real_distribution<double> even(-1.0, 1.0);
  std::vector<Cluster> all = clusters(truth.layout);
  for (const Cluster& cluster : link_clusters(truth)) all.push_back(cluster);
  all.push_back(hub_cluster(corner));
  for (const Cluster& cluster : all) {
    Body body{cluster.body, {}};
    for (std::size_t i = 0; i < cluster.places_mm.size(); ++i) {
      const int number = cluster.first_number + static_cast<int>(i);
      const double up = 0.25 + 0.2 * even(random), ahead = 0.35 * even(random);
      Vector3d normal(ahead, 1.0, up);
      if (cluster.body == "floor") normal = Vector3d::UnitZ();
      if (cluster.body == "hub") normal = corner.spin_axis();
      const Quaterniond face = Quaterniond::FromTwoVectors(Vector3d::UnitZ(), normal);
      corner.tags.push_back({number, cluster.body, {face, cluster.places_mm[i]}});
      body.tags.push_back(number);
    }
    if (cluster.body != "floor" && cluster.body != "car") corner.bodies.push_back(body);
  }
  if (has_strut(truth.layout))
    for (const CornerTag& tag : tube_tags(truth)) {
      corner.tags.push_back(tag);
      for (Body& body : corner.bodies)
        if (body.name == tag.body) body.tags.push_back(tag.number);
    }
  return corner;
}

MovingCorner moving_corner(Layout layout) {
  return moving_corner(example_set(layout));
}

std::vector<Stand> five_heights() {
  return {{"ride", 0, 0, 0, 0},
          {"up 20", 20, 0, 0.15, 0.1},
          {"up 40", 40, 0, -0.15, 0.2},
          {"down 20", -20, 0, 0.1, 0.3},
          {"down 40", -40, 0, -0.1, 0.4}};
}

std::vector<Stand> five_heights_and_steered() {
  std::vector<Stand> stands = five_heights();
  stands.push_back({"steered left", 0, 25, 0, 0});
  stands.push_back({"steered right", 0, -25, 0, 0});
  return stands;
}

Network made_up_network(const MovingCorner& corner, const std::vector<Stand>& stands, const TagNoise& noise,
                        unsigned seed) {
  std::map<PlacedTag, RigidTransform> placed;
  for (const Stand& stand : stands) {
    const auto poses = corner.poses(stand);
    for (const CornerTag& tag : corner.tags) {
      const bool stays = tag.body == "car" || tag.body == "floor";
      // The hub is restless: it may turn within a height.
      const bool part_named = stand.set.find('/') != std::string::npos;
      std::string set = stays ? "" : stand.set;
      if (tag.body == "hub" && !part_named) set += "/";
      if (tag.body != "hub" && part_named && !stays) continue;  // as at that height
      placed[{tag.number, set}] = network_from_vehicle * poses.at(tag.body) * tag.vehicle_from_tag_at_ride;
    }
  }
  std::mt19937 random(seed);
  std::normal_distribution<double> normal;
  const auto vector = [&](double sigma) {
    const double z = normal(random), y = normal(random), x = normal(random);
    return Vector3d(sigma * x, sigma * y, sigma * z);
  };
  Network network;
  for (const auto& [key, pose] : placed) {
    TagInSpace tag;
    tag.number = key.number;
    tag.set = key.set;
    tag.network_from_tag = pose;
    tag.network_from_tag.translation_mm += vector(noise.place_mm);
    if (const Vector3d turn = vector(noise.turn_rad); turn.norm() > 0.0)
      tag.network_from_tag.rotation =
          Quaterniond(Eigen::AngleAxisd(turn.norm(), turn.normalized())) * pose.rotation;
    network.tags.push_back(tag);
  }
  const auto width = static_cast<Eigen::Index>(6 * network.tags.size());
  Eigen::VectorXd variances(width);
  const double place = std::max(noise.place_mm, 1e-5), turn = std::max(noise.turn_rad, 1e-7);
  for (Eigen::Index i = 0; i < width; ++i) variances[i] = i % 6 < 3 ? place * place : turn * turn;
  network.tag_covariance = variances.asDiagonal();
  return network;
}

Network in_other_axes(Network network, const RigidTransform& other_from_network) {
  const auto width = network.tag_covariance.rows();
  Eigen::MatrixXd turns = Eigen::MatrixXd::Zero(width, width);
  for (Eigen::Index at = 0; at < width; at += 3)
    turns.block<3, 3>(at, at) = other_from_network.rotation.toRotationMatrix();
  for (TagInSpace& tag : network.tags) tag.network_from_tag = other_from_network * tag.network_from_tag;
  network.tag_covariance = turns * network.tag_covariance * turns.transpose();
  return network;
}

// All tags move and turn together: a turn about axis k moves a tag's place by that axis cross its place.
Network with_unsure_datum(Network network, double shift_mm, double turn_rad) {
  Eigen::MatrixXd together = Eigen::MatrixXd::Zero(network.tag_covariance.rows(), 6);
  for (std::size_t i = 0; i < network.tags.size(); ++i)
    for (int k = 0; k < 3; ++k) {
      const auto row = static_cast<Eigen::Index>(6 * i);
      together(row + k, k) = shift_mm;
      together.block<3, 1>(row, 3 + k) =
          turn_rad * Vector3d::Unit(k).cross(network.tags[i].network_from_tag.translation_mm);
      together(row + 3 + k, 3 + k) = turn_rad;
    }
  network.tag_covariance += together * together.transpose();
  return network;
}

}  // namespace pivotfix
