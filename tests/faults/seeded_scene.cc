// SPDX-License-Identifier: Apache-2.0
#include "faults/seeded_scene.h"

#include <Eigen/Geometry>
#include <atomic>
#include <cmath>
#include <thread>

#include "base/problem.h"
#include "base/units.h"
#include "network/simulated_corner.h"
#include "tags/tags.h"

namespace pivotfix::faults {
namespace {

using Eigen::Vector3d;

constexpr int width_px = 2000, height_px = 1500;
constexpr double side_mm = 50.0;

render::Shot shot_number(int i) {
  render::Shot shot;
  shot.width_px = width_px;
  shot.height_px = height_px;
  shot.lens.values = {
      0.74 * width_px, 1.0, 0.5 * width_px + 9.0, 0.5 * height_px - 7.0, 0.06, -0.11, 0.05, 6e-4, -5e-4};
  const double azimuth = 1.0 * (2.0 * (i + 0.5) / photo_count - 1.0);
  const double distance_mm = 1150.0 + 150.0 * std::sin(1.7 * i);
  const Vector3d place(distance_mm * std::sin(azimuth), distance_mm * std::cos(azimuth),
                       480.0 + 330.0 * std::sin(2.4 * i));
  const Vector3d aim(50.0 * std::sin(3.1 * i), 20.0, 290.0 + 40.0 * std::cos(1.3 * i));
  shot.camera_from_world = render::look_at(place, aim, (i % 2) * 0.5 * M_PI + 0.08 * std::sin(5.0 * i));
  return shot;
}

CameraDescription phone() {
  CameraDescription camera;
  camera.make = "Halm";
  camera.model = "Pocket 3";  // invented
  camera.focal_length_mm = 5.6;
  camera.focal_length_35mm_mm = 26.0;
  camera.width_px = width_px;
  camera.height_px = height_px;
  return camera;
}

// The made-up corner's tags, a fourth and a fifth one on the floor, and two strips.
struct Stage {
  std::vector<render::PaperTag> tags{};
  std::vector<ScaleBar> scale_bars{};
  HardpointQuestion question{};
  HardpointSet truth{};
};

void add_tag(Stage& stage, const RigidTransform& place) {
  stage.tags.push_back({static_cast<int>(stage.tags.size()), place, side_mm});
}

Stage made_up_stage() {
  Stage stage;
  const simulation::CornerOfTags corner = simulation::made_up_corner();
  stage.question = corner.question;
  for (HardpointRecipe& recipe : stage.question.hardpoints) std::get<TagOffset>(recipe.way).sigma_mm = 0.1;
  stage.question.axes.forward_sigma_rad = rad_from_deg(0.1);
  stage.question.axes.half_track_sigma_mm = 1.0;
  for (const RigidTransform& place : corner.truth.world_from_tag) add_tag(stage, place);
  const auto lying = [](double x_mm, double y_mm) {
    return simulation::facing({x_mm, y_mm, 0.0}, Vector3d::UnitZ());
  };
  for (const auto& [x_mm, y_mm] : {std::pair(360.0, 960.0), std::pair(-380.0, 500.0)}) {
    stage.question.axes.floor_tags.push_back(static_cast<int>(stage.tags.size()));
    add_tag(stage, lying(x_mm, y_mm));
  }
  const auto strip = [&](const RigidTransform& first, const RigidTransform& second) {
    const int from = static_cast<int>(stage.tags.size());
    add_tag(stage, first);
    add_tag(stage, second);
    stage.scale_bars.push_back({from, from + 1, (first.translation_mm - second.translation_mm).norm(), 0.1});
  };
  strip(lying(-60.0, 880.0), lying(190.0, 880.0));
  const Vector3d outwards = Vector3d(0.0, 1.0, 0.4).normalized();
  strip(simulation::facing({300.0, 560.0, 380.0}, outwards),
        simulation::facing({300.0, 560.0, 630.0}, outwards));
  const auto& names = hardpoint_names(Layout::strut);
  for (std::size_t i = 0; i < names.size(); ++i)
    stage.truth.points.push_back({names[i], corner.pivots_vehicle_mm[i]});
  return stage;
}

const Stage& stage() {
  static const Stage made = made_up_stage();
  return made;
}

std::vector<Sighting> sightings_in(const Scene& scene, std::size_t i, CameraDescription& camera) {
  std::mt19937_64 random(77 + i);
  GreyPicture picture = render::render_photo(scene.tags[i], scene.shots[i], scene.films[i], random);
  if (scene.paint[i]) scene.paint[i](picture);
  camera.width_px = picture.width_px;
  camera.height_px = picture.height_px;
  return find_tags(picture);
}

void photograph(Scene& scene) {
  std::atomic<std::size_t> next{0};
  const auto work = [&] {
    for (std::size_t i = next++; i < scene.shots.size(); i = next++)
      if (!scene.as_in_good_set[i]) scene.sightings[i] = sightings_in(scene, i, scene.cameras[i]);
  };
  std::vector<std::jthread> threads;
  for (unsigned i = 0; i < std::max(1U, std::thread::hardware_concurrency()); ++i) threads.emplace_back(work);
}

Scene untaken_scene() {
  Scene scene;
  for (int i = 0; i < photo_count; ++i) {
    scene.tags.push_back(stage().tags);
    scene.shots.push_back(shot_number(i));
    scene.films.emplace_back();
    scene.cameras.push_back(phone());
  }
  scene.paint.resize(photo_count);
  scene.broken.resize(photo_count, false);
  scene.sightings.resize(photo_count);
  scene.as_in_good_set.resize(photo_count, false);
  scene.scale_bars = stage().scale_bars;
  scene.question = stage().question;
  return scene;
}

}  // namespace

HardpointSet true_hardpoints() {
  return stage().truth;
}

Scene good_scene() {
  static const Scene taken = [] {
    Scene scene = untaken_scene();
    photograph(scene);
    scene.as_in_good_set.assign(scene.shots.size(), true);
    return scene;
  }();
  return taken;
}

void take_photos(Scene& scene) {
  photograph(scene);
}

NetworkInput input_of(const Scene& scene, bool skip_broken) {
  NetworkInput input;
  input.printed_side_mm = side_mm;
  input.scale_bars = scene.scale_bars;
  const auto add = [&](std::size_t i, const std::string& name) {
    if (scene.broken[i] && !skip_broken)
      throw Problem(ProblemKind::input, "The JPEG is damaged or incomplete.", "", Place{name});
    if (!scene.broken[i]) input.photos.push_back({name, scene.cameras[i], scene.sightings[i], {}, {}});
  };
  for (std::size_t i = 0; i < scene.shots.size(); ++i) add(i, "photo" + std::to_string(i) + ".jpg");
  for (const auto& [copy, original] : scene.copies)
    add(static_cast<std::size_t>(original), "copy" + std::to_string(copy) + ".jpg");
  return input;
}

}  // namespace pivotfix::faults
