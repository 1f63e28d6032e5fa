// SPDX-License-Identifier: Apache-2.0
#include "locate/heights_scene.h"

#include <Eigen/Geometry>
#include <cmath>
#include <random>

#include "base/units.h"

namespace pivotfix {

namespace {

using Eigen::Quaterniond;
using Eigen::Vector3d;

// The disc is not quite square to its axis: tags on it tell the spin axis only when the hub is turned.
constexpr double runout_rad = 0.05 * rad_per_deg;
constexpr double strip_sigma_mm = 0.01;
// Of the wheel centre behind the hub's tags: what the runout moves it by.
constexpr double hub_sigma_mm = 0.02;

void tilt_the_hub_face(MovingCorner& corner) {
  const Vector3d centre_mm = corner.truth.position_vehicle_mm("wheel_centre");
  const Quaterniond turn(Eigen::AngleAxisd(runout_rad, Vector3d::UnitZ()));
  const RigidTransform tilt{turn, centre_mm - turn * centre_mm};
  for (CornerTag& tag : corner.tags)
    if (tag.body == "hub") tag.vehicle_from_tag_at_ride = tilt * tag.vehicle_from_tag_at_ride;
}

std::vector<Stand> stands_of(const HeightsWish& wish) {
  std::vector<Stand> stands = five_heights();
  stands.push_back({"ride/turn 1", 0, 0, 0, 2.1});
  stands.push_back({"ride/turn 2", 0, 0, 0, 4.2});
  if (!wish.steered) return stands;
  stands.push_back({"steered left", 0, 40, 0.1, 0.5});
  stands.push_back({"steered right", 0, -40, -0.1, 0.6});
  return stands;
}

bool is_part(const Stand& stand) {
  return stand.set.find('/') != std::string::npos;
}

std::vector<TagAt> tags_at(const MovingCorner& corner, const Stand& stand) {
  const auto poses = corner.poses(stand);
  std::vector<TagAt> tags;
  for (const CornerTag& tag : corner.tags)
    tags.push_back({tag.number, poses.at(tag.body) * tag.vehicle_from_tag_at_ride});
  return tags;
}

// A walk round the corner, kneeling and standing, the phone upright in every second photo.
void walk_round(std::size_t stand, int photos, std::mt19937& random, std::vector<PlannedView>& views) {
  std::uniform_real_distribution<double> even(-1.0, 1.0);
  for (int i = 0; i < photos; ++i) {
    const double azimuth = 1.05 * (2.0 * (i + 0.5) / photos - 1.0) + 0.05 * even(random);
    const double distance_mm = 1250.0 + 200.0 * even(random);
    PlannedView view;
    view.stand = stand;
    view.place_vehicle_mm = {distance_mm * std::sin(azimuth), 620.0 + distance_mm * std::cos(azimuth),
                             600.0 + 350.0 * std::sin(2.4 * i)};
    view.aim_vehicle_mm = {70.0 * even(random), 620.0 + 40.0 * even(random), 330.0 + 60.0 * even(random)};
    view.roll_rad = (i % 2) * M_PI / 2.0 + 0.1 * even(random);
    views.push_back(view);
  }
}

HardpointQuestion question_of(const MovingCorner& corner, const std::vector<Stand>& stands, bool runout) {
  HardpointQuestion question;
  question.side = corner.truth.side;
  question.layout = corner.truth.layout;
  question.axes.floor_tags = {0, 1, 2, 3, 4, 5};
  question.axes.forward_from = 6;
  question.axes.forward_to = 7;
  question.axes.half_track_mm = corner.truth.position_vehicle_mm("wheel_centre").y();
  question.bodies = corner.bodies;
  question.reference_height = "ride";
  for (const Stand& stand : stands) {
    if (is_part(stand)) continue;
    question.heights.push_back(stand.set);
    if (stand.rack_mm != 0.0) question.steered_heights.push_back(stand.set);
  }
  for (const std::string& name : hardpoint_names(corner.truth.layout))
    question.hardpoints.push_back({name, ByMotion{}});
  question.hardpoints.back().way = TagRing{corner.body("hub").tags, hub_face_mm, runout ? hub_sigma_mm : 0.0};
  return question;
}

NetworkInput input_of(const MovingCorner& corner, std::mt19937& random) {
  std::normal_distribution<double> error(0.0, strip_sigma_mm);
  NetworkInput input;
  for (const Body& body : corner.bodies)
    (body.name == "hub" ? input.restless_tags : input.moving_tags).insert(body.tags.begin(), body.tags.end());
  const auto place_mm = [&](int number) {
    for (const CornerTag& tag : corner.tags)
      if (tag.number == number) return tag.vehicle_from_tag_at_ride.translation_mm;
    return Vector3d(Vector3d::Zero());
  };
  for (const auto& [from, to] : {std::pair{60, 63}, {6, 7}})
    input.scale_bars.push_back(
        {from, to, (place_mm(from) - place_mm(to)).norm() + error(random), strip_sigma_mm});
  return input;
}

}  // namespace

HeightsScene heights_scene(const HeightsWish& wish) {
  std::mt19937 random(wish.seed);
  HeightsScene scene;
  scene.corner = moving_corner(wish.layout);
  if (wish.runout) tilt_the_hub_face(scene.corner);
  scene.stands = stands_of(wish);
  for (std::size_t i = 0; i < scene.stands.size(); ++i) {
    scene.tags.push_back(tags_at(scene.corner, scene.stands[i]));
    walk_round(i, is_part(scene.stands[i]) ? (wish.photos_per_set + 2) / 3 : wish.photos_per_set, random,
               scene.views);
  }
  scene.question = question_of(scene.corner, scene.stands, wish.runout);
  scene.input = input_of(scene.corner, random);
  return scene;
}

HardpointQuestion with_tube(HardpointQuestion question) {
  for (HardpointRecipe& recipe : question.hardpoints)
    if (recipe.name == "strut_axis_low")
      recipe.way = TagTube{{first_tube_tag, first_tube_tag + 1, first_tube_tag + 2}, tube_stand_off_mm, 0.05};
  return question;
}

PhotoSightings named_photo(const HeightsScene& scene, std::size_t view, const CameraDescription& camera) {
  const std::string& set = scene.stands[scene.views[view].stand].set;
  PhotoSightings photo;
  photo.photo = "photo" + std::to_string(view) + ".jpg";
  photo.camera = camera;
  photo.set = set.substr(0, set.find('/'));
  if (const auto slash = set.find('/'); slash != std::string::npos) photo.part = set.substr(slash + 1);
  return photo;
}

}  // namespace pivotfix
