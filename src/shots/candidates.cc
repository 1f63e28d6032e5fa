// SPDX-License-Identifier: Apache-2.0
#include "shots/candidates.h"

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <cmath>

#include "base/units.h"
#include "lens/lens.h"
#include "tags/tags.h"

namespace pivotfix {

namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;

constexpr std::array<double, 3> heights_mm{200.0, 600.0, 1150.0};  // over the ground
constexpr std::array<double, 2> distances_mm{750.0, 1150.0};       // in plan, from the wheel centre
constexpr std::array<double, 9> bearings_deg{-80, -60, -40, -20, 0, 20, 40, 60, 80};  // ahead positive
constexpr double steepest_rad = 62.0 * rad_per_deg;    // beyond, a tag's edges run into each other
constexpr double known_view_rad = 45.0 * rad_per_deg;  // what was seen from no nearer may be hidden
constexpr double smallest_side_px = 24.0;
constexpr double margin_px = 40.0;
constexpr std::size_t fewest_tags = 3;

// Looks along z with the picture's columns to the right; upright: turned so that the columns run downwards.
RigidTransform camera_at(const Vector3d& place_mm, const Vector3d& aim_mm, bool upright) {
  const Vector3d forward = (aim_mm - place_mm).normalized();
  const Vector3d right = forward.cross(Vector3d::UnitZ()).normalized();
  const Vector3d down = forward.cross(right);
  Eigen::Matrix3d axes;
  axes.col(0) = upright ? down : right;
  axes.col(1) = upright ? Vector3d(-right) : down;
  axes.col(2) = forward;
  return {Eigen::Quaterniond(axes), place_mm};
}

// Directions, in tag axes, from which each tag was seen.
std::vector<std::vector<Vector3d>> known_views(const Network& network) {
  std::vector<std::vector<Vector3d>> views(network.tags.size());
  for (const Station& station : network.stations) {
    if (!station.used) continue;
    for (const int tag : station.tags)
      views[tag].push_back(
          (network.tags[tag].network_from_tag.inverse() * station.network_from_camera.translation_mm)
              .normalized());
  }
  return views;
}

bool faces(const Vector3d& view_tag, const std::vector<Vector3d>& known) {
  if (view_tag.z() < std::cos(steepest_rad)) return false;
  return std::any_of(known.begin(), known.end(),
                     [&](const Vector3d& seen) { return seen.dot(view_tag) > std::cos(known_view_rad); });
}

bool in_picture(const TagInSpace& tag, const RigidTransform& camera_from_network, const LensEstimate& lens) {
  const RigidTransform camera_from_tag = camera_from_network * tag.network_from_tag;
  const auto corners_mm = tag_corners_mm(tag.side_mm);
  std::array<Vector2d, 4> corner;
  for (std::size_t i = 0; i < 4; ++i) {
    const Vector3d seen = camera_from_tag * corners_mm[i];
    if (seen.z() < 100.0) return false;
    // Outside the picture the distortion may fold back into it: the straight place must be near, too.
    const Vector2d straight = seen.hnormalized() * lens.lens.focal_px();
    if (std::abs(straight.x()) > lens.width_px || std::abs(straight.y()) > lens.height_px) return false;
    corner[i] = pixel_from_direction(lens.lens, {}, seen);
    if (corner[i].x() < margin_px || corner[i].x() > lens.width_px - margin_px || corner[i].y() < margin_px ||
        corner[i].y() > lens.height_px - margin_px)
      return false;
  }
  double shortest_px = 1e9;
  for (int i = 0; i < 4; ++i) shortest_px = std::min(shortest_px, (corner[(i + 1) % 4] - corner[i]).norm());
  return shortest_px >= smallest_side_px;
}

// The lens of most photos.
int usual_lens(const Network& network) {
  int best = 0;
  for (std::size_t i = 0; i < network.lenses.size(); ++i)
    if (network.lenses[i].photos > network.lenses[best].photos) best = static_cast<int>(i);
  return best;
}

std::vector<int> shown_tags(const ShotQuestion& question, const std::vector<std::vector<Vector3d>>& views,
                            const PlannedPhoto& photo) {
  const Network& network = question.network;
  const RigidTransform camera_from_network = photo.network_from_camera.inverse();
  std::vector<int> shown;
  for (std::size_t i = 0; i < network.tags.size(); ++i) {
    const TagInSpace& tag = network.tags[i];
    if (!tag.set.empty() && tag.set != question.set) continue;
    const Vector3d view =
        (tag.network_from_tag.inverse() * photo.network_from_camera.translation_mm).normalized();
    if (faces(view, views[i]) && in_picture(tag, camera_from_network, network.lenses[photo.lens]))
      shown.push_back(static_cast<int>(i));
  }
  return shown;
}

// Half the pivots' middle, half the rod end: the parts in the picture, the one that matters in its middle.
Vector3d aim_of(const HardpointSet& set) {
  Vector3d middle = Vector3d::Zero();
  for (const Hardpoint& point : set.points)
    middle += point.position_vehicle_mm / static_cast<double>(set.points.size());
  return 0.5 * (middle + set.position_vehicle_mm("link_outer_joint"));
}

}  // namespace

std::vector<Candidate> candidate_shots(const ShotQuestion& question) {
  const HardpointSet& set = question.located.hardpoints;
  const double outboard = set.side == Side::left ? 1.0 : -1.0;
  const Vector3d& wheel_mm = set.position_vehicle_mm("wheel_centre");
  const Vector3d& rod_end_mm = set.position_vehicle_mm("link_outer_joint");
  const RigidTransform network_from_vehicle = question.located.vehicle_from_network.inverse();
  const auto views = known_views(question.network);
  std::vector<Candidate> candidates;
  for (const double height_mm : heights_mm)
    for (const double distance_mm : distances_mm)
      for (const double bearing_deg : bearings_deg)
        for (const bool upright : {false, true}) {
          const double bearing = rad_from_deg(bearing_deg);
          Candidate candidate;
          Shot& shot = candidate.shot;
          shot.place_vehicle_mm = {wheel_mm.x() + distance_mm * std::sin(bearing),
                                   wheel_mm.y() + outboard * distance_mm * std::cos(bearing), height_mm};
          shot.aim_vehicle_mm = aim_of(set);
          shot.upright = upright;
          candidate.photo.lens = usual_lens(question.network);
          candidate.photo.network_from_camera =
              network_from_vehicle * camera_at(shot.place_vehicle_mm, shot.aim_vehicle_mm, upright);
          candidate.photo.tags = shown_tags(question, views, candidate.photo);
          if (candidate.photo.tags.size() < fewest_tags) continue;
          shot.tags = static_cast<int>(candidate.photo.tags.size());
          shot.words = shot_words(shot, wheel_mm, rod_end_mm, outboard);
          candidates.push_back(candidate);
        }
  return candidates;
}

std::string shot_words(const Shot& shot, const Vector3d& wheel_centre_vehicle_mm,
                       const Vector3d& rod_end_vehicle_mm, double outboard) {
  const Vector3d from_wheel = shot.place_vehicle_mm - wheel_centre_vehicle_mm;
  const double height_mm = shot.place_vehicle_mm.z();
  const double bearing_deg = deg_from_rad(std::atan2(from_wheel.x(), outboard * from_wheel.y()));
  std::string words = height_mm < 400.0 ? "low" : height_mm < 850.0 ? "at knee height" : "at chest height";
  const std::string lengthwise = bearing_deg > 0.0 ? "ahead of the wheel" : "behind the wheel";
  const double off = std::abs(bearing_deg);
  words += off < 12.0   ? ", straight out from the wheel"
           : off < 50.0 ? ", half way round to " + std::string(bearing_deg > 0.0 ? "the front" : "the rear")
                        : ", " + lengthwise;
  words += shot.upright ? ", phone upright" : ", phone on its side";
  return words + ", " + format_fixed((shot.place_vehicle_mm - rod_end_vehicle_mm).norm() / 1000.0, 1) +
         " m from the rod end";
}

}  // namespace pivotfix
