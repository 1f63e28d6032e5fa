// SPDX-License-Identifier: Apache-2.0
#include "render/corner_scene.h"

#include <Eigen/Geometry>
#include <atomic>
#include <cmath>
#include <numbers>
#include <thread>

namespace pivotfix::render {
namespace {

using Eigen::Vector3d;

using Random = std::mt19937_64;

double even(Random& random) {
  return 2.0 * static_cast<double>(random() >> 11) * 0x1p-53 - 1.0;
}

// Floor tags lie flat, the others face outwards (+y) with a tilt of their own.
PaperTag candidate(int number, Random& random) {
  constexpr double floor_side_mm = 50.0, part_side_mm = 40.0;
  PaperTag tag;
  tag.number = number;
  const Eigen::Quaterniond spin(Eigen::AngleAxisd(std::numbers::pi * even(random), Vector3d::UnitZ()));
  if (number < 8) {
    tag.side_mm = floor_side_mm;
    tag.world_from_tag = {spin, {500.0 * even(random), 300.0 + 200.0 * even(random), 0.0}};
    return tag;
  }
  tag.side_mm = part_side_mm;
  const double up = 0.3 + 0.6 * even(random), ahead = 0.7 * even(random);
  const Vector3d normal = Vector3d(ahead, 1.0, up).normalized();
  tag.world_from_tag = {Eigen::Quaterniond::FromTwoVectors(Vector3d::UnitZ(), normal) * spin,
                        {500.0 * even(random), 220.0 * even(random), 350.0 + 250.0 * even(random)}};
  return tag;
}

bool too_near(const PaperTag& a, const PaperTag& b) {
  const Vector3d apart = a.world_from_tag.translation_mm - b.world_from_tag.translation_mm;
  return apart.norm() < 1.1 * (a.side_mm + b.side_mm);
}

Shot shot_number(int i, const PhotoSetWish& wish, Random& random) {
  std::normal_distribution<double> normal;
  Shot shot;
  shot.width_px = wish.width_px;
  shot.height_px = wish.height_px;
  const double focal_px = 0.74 * wish.width_px;
  shot.lens.values = {
      focal_px, 1.0, 0.5 * wish.width_px + 14.0, 0.5 * wish.height_px - 11.0, 0.06, -0.11, 0.05, 6e-4, -5e-4};
  shot.lens.values[lens_focal_px] *= 1.0 + wish.focal_change * normal(random);
  shot.lens.values[lens_principal_x_px] += wish.principal_shift_px * normal(random);
  shot.lens.values[lens_principal_y_px] += wish.principal_shift_px * normal(random);
  const double azimuth = 1.05 * (2.0 * (i + 0.5) / wish.photos - 1.0) + 0.05 * even(random);
  const double distance_mm = 1150.0 + 200.0 * even(random);
  const Vector3d place(distance_mm * std::sin(azimuth), distance_mm * std::cos(azimuth),
                       500.0 + 330.0 * std::sin(2.4 * i));
  const double aim_z = 280.0 + 60.0 * even(random), aim_y = 40.0 * even(random), aim_x = 70.0 * even(random);
  const Vector3d aim(aim_x, aim_y, aim_z);
  const double roll_rad = (i % 2) * 0.5 * std::numbers::pi + 0.1 * even(random);
  shot.camera_from_world = look_at(place, aim, roll_rad);
  return shot;
}

Film film_number(int i, const PhotoSetWish& wish, Random& random) {
  Film film = wish.film;
  if (wish.most_blur_px > film.blur_px)
    film.blur_px += (wish.most_blur_px - film.blur_px) * 0.5 * (1.0 + even(random));
  film.exposure *= std::exp2(wish.exposure_spread * (i % 3 - 1));
  return film;
}

}  // namespace

std::vector<PaperTag> corner_tags(unsigned seed) {
  Random random(seed);
  std::vector<PaperTag> tags;
  while (tags.size() < 45) {
    const PaperTag next = candidate(static_cast<int>(tags.size()), random);
    bool free = true;
    for (const PaperTag& tag : tags) free = free && !too_near(tag, next);
    if (free) tags.push_back(next);
  }
  return tags;
}

namespace {

// work(0) ... work(count - 1), in any order.
template <typename Work>
void on_all_cores(int count, const Work& work) {
  std::atomic<int> next{0};
  const auto some = [&] {
    for (int i = next++; i < count; i = next++) work(i);
  };
  std::vector<std::thread> threads;
  for (unsigned i = 0; i < std::max(1U, std::thread::hardware_concurrency()); ++i) threads.emplace_back(some);
  for (std::thread& thread : threads) thread.join();
}

}  // namespace

PhotoSet photograph_corner(const PhotoSetWish& wish) {
  PhotoSet set;
  set.tags = corner_tags(wish.seed);
  set.input.photos.resize(wish.photos);
  std::vector<Film> films;
  Random random(1000 + wish.seed);
  for (int i = 0; i < wish.photos; ++i) {
    set.shots.push_back(shot_number(i, wish, random));
    films.push_back(film_number(i, wish, random));
  }
  for (const PaperTag& tag : set.tags)
    if (tag.side_mm != set.input.printed_side_mm) set.input.other_sides_mm[tag.number] = tag.side_mm;
  for (const int from : {0, 2}) {
    const double length_mm =
        (set.tags[from].world_from_tag.translation_mm - set.tags[from + 1].world_from_tag.translation_mm)
            .norm();
    set.input.scale_bars.push_back({from, from + 1, length_mm, 0.005});
  }
  on_all_cores(wish.photos, [&](int i) {
    Random own(wish.seed * 1000ULL + static_cast<unsigned>(i));
    const GreyPicture picture = render_photo(set.tags, set.shots[i], films[i], own);
    PhotoSightings& photo = set.input.photos[i];
    photo.photo = "photo" + std::to_string(i) + ".jpg";
    photo.camera.model = "Pocket 3";  // invented
    photo.camera.focal_length_35mm_mm = 26.0;
    photo.camera.width_px = wish.width_px;
    photo.camera.height_px = wish.height_px;
    TagSearchOptions options;
    options.tone_curve = films[i].tone_curve;
    photo.sightings = find_tags(picture, options);
  });
  return set;
}

std::vector<Sighting> sightings_in_clutter(const PhotoSetWish& wish) {
  std::vector<std::vector<Sighting>> found(wish.photos);
  std::vector<Shot> shots;
  Random random(2000 + wish.seed);
  for (int i = 0; i < wish.photos; ++i) shots.push_back(shot_number(i, wish, random));
  on_all_cores(wish.photos, [&](int i) {
    Random own(wish.seed * 5000ULL + static_cast<unsigned>(i));
    found[i] = find_tags(render_photo({}, shots[i], wish.film, own));
  });
  std::vector<Sighting> all;
  for (const auto& photo : found) all.insert(all.end(), photo.begin(), photo.end());
  return all;
}

}  // namespace pivotfix::render
