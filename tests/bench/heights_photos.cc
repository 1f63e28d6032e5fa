// SPDX-License-Identifier: Apache-2.0
#include "bench/heights_photos.h"

#include <turbojpeg.h>

#include <atomic>
#include <fstream>
#include <stdexcept>
#include <thread>

namespace pivotfix::bench {

namespace {

namespace fs = std::filesystem;

constexpr int jpeg_quality = 92;

void write_jpeg(const GreyPicture& picture, const fs::path& file) {
  tjhandle coder = tjInitCompress();
  unsigned char* bytes = nullptr;
  unsigned long size = 0;
  const int failed = tjCompress2(coder, picture.grey.data(), picture.width_px, 0, picture.height_px,
                                 TJPF_GRAY, &bytes, &size, TJSAMP_GRAY, jpeg_quality, TJFLAG_ACCURATEDCT);
  tjDestroy(coder);
  const fs::path half_written = file.string() + ".part";
  if (failed == 0)
    std::ofstream(half_written, std::ios::binary)
        .write(reinterpret_cast<const char*>(bytes), static_cast<std::streamsize>(size));
  tjFree(bytes);
  if (failed != 0) throw std::runtime_error("cannot write " + file.string());
  fs::rename(half_written, file);
}

render::Film film() {
  render::Film film;
  film.jpeg_quality = 0;  // it becomes a JPEG file here
  return film;
}

std::vector<Sighting> sightings_of(const PhotoOrder& order, const fs::path& file) {
  if (!fs::exists(file)) write_photo(order, file);
  return find_tags(read_photo(file, file.filename().string()).picture);
}

}  // namespace

CameraDescription phone() {
  CameraDescription camera;
  camera.model = "Pocket 3";  // invented
  camera.focal_length_35mm_mm = 26.0;
  camera.width_px = usual_width_px;
  camera.height_px = usual_width_px * 3 / 4;
  return camera;
}

void write_photo(const PhotoOrder& order, const fs::path& file) {
  std::mt19937_64 random(order.seed);
  write_jpeg(render::render_photo(order.tags, order.shot, film(), random), file);
}

render::Shot phone_at(const Eigen::Vector3d& place_mm, const Eigen::Vector3d& aim_mm, double roll_rad,
                      int width_px) {
  const int height_px = width_px * 3 / 4;
  render::Shot shot;
  shot.width_px = width_px;
  shot.height_px = height_px;
  shot.lens.values = {
      0.74 * width_px, 1.0, 0.5 * width_px + 14.0, 0.5 * height_px - 11.0, 0.06, -0.11, 0.05, 6e-4, -5e-4};
  shot.camera_from_world = render::look_at(place_mm, aim_mm, roll_rad);
  return shot;
}

void on_all_cores(std::size_t count, const std::function<void(std::size_t)>& work) {
  std::atomic<std::size_t> next{0};
  const auto take = [&] {
    for (std::size_t i = next++; i < count; i = next++) work(i);
  };
  std::vector<std::jthread> threads;
  for (unsigned i = 1; i < std::max(1U, std::thread::hardware_concurrency()); ++i) threads.emplace_back(take);
  take();
  threads.clear();  // joins
}

std::vector<std::vector<Sighting>> photograph(const std::vector<PhotoOrder>& orders,
                                              const std::string& prefix, const fs::path& folder) {
  std::vector<std::vector<Sighting>> found(orders.size());
  fs::create_directories(folder);
  on_all_cores(orders.size(), [&](std::size_t i) {
    found[i] = sightings_of(orders[i], folder / (prefix + std::to_string(i) + ".jpg"));
  });
  return found;
}

void photograph(HeightsScene& scene, const std::string& prefix, const fs::path& folder) {
  std::vector<PhotoOrder> orders;
  for (const PlannedView& view : scene.views) {
    PhotoOrder order;
    for (const TagAt& tag : scene.tags[view.stand]) order.tags.push_back({tag.number, tag.vehicle_from_tag});
    order.shot = phone_at(view.place_vehicle_mm, view.aim_vehicle_mm, view.roll_rad);
    order.seed = 1000 + static_cast<unsigned>(orders.size());
    orders.push_back(std::move(order));
  }
  const auto sightings = photograph(orders, prefix, folder);
  for (std::size_t i = 0; i < sightings.size(); ++i) {
    PhotoSightings photo = named_photo(scene, i, phone());
    photo.sightings = sightings[i];
    scene.input.photos.push_back(std::move(photo));
  }
}

}  // namespace pivotfix::bench
