// SPDX-License-Identifier: Apache-2.0
#include "bench/timed_photos.h"

#include <sys/wait.h>
#include <turbojpeg.h>
#include <unistd.h>

#include <Eigen/Geometry>
#include <algorithm>
#include <fstream>
#include <nlohmann/json.hpp>
#include <stdexcept>

#include "render/photo_renderer.h"

namespace pivotfix::bench {
namespace {

namespace fs = std::filesystem;
using Eigen::Matrix3d;
using Eigen::Vector3d;
using nlohmann::json;

const fs::path sample_folder = fs::path(PIVOTFIX_SOURCE_DIR) / "samples" / "club-car";

struct SampleScene {
  std::vector<render::PaperTag> tags{};
  std::vector<std::string> files{};
  std::vector<render::Shot> shots{};
};

Vector3d vector_of(const json& numbers) {
  return {numbers.at(0).get<double>(), numbers.at(1).get<double>(), numbers.at(2).get<double>()};
}

render::PaperTag tag_of(const json& tag) {
  Matrix3d world_from_tag;
  world_from_tag << vector_of(tag.at("x_axis")), vector_of(tag.at("y_axis")), vector_of(tag.at("z_axis"));
  render::PaperTag paper;
  paper.number = tag.at("number").get<int>();
  paper.side_mm = tag.at("side_mm").get<double>();
  paper.margin_cells = 1.0;
  paper.world_from_tag = {Eigen::Quaterniond(world_from_tag), vector_of(tag.at("centre_mm"))};
  return paper;
}

// A picture `larger` times as large of the same view.
render::Shot shot_of(const json& photo, const json& lens, double larger) {
  Matrix3d world_from_camera;
  for (int row = 0; row < 3; ++row)
    world_from_camera.row(row) = vector_of(photo.at("vehicle_from_camera").at(row)).transpose();
  render::Shot shot;
  shot.camera_from_world =
      RigidTransform{Eigen::Quaterniond(world_from_camera), vector_of(photo.at("camera_position_mm"))}
          .inverse();
  const auto principal_px = [&](int axis) {
    return (photo.at("principal_point_px").at(axis).get<double>() + 0.5) * larger - 0.5;
  };
  const json& k = lens.at("k1_k2_k3");
  const json& p = lens.at("p1_p2");
  shot.lens.values = {photo.at("focal_px").get<double>() * larger,
                      1.0,
                      principal_px(0),
                      principal_px(1),
                      k.at(0),
                      k.at(1),
                      k.at(2),
                      p.at(0),
                      p.at(1)};
  shot.width_px = static_cast<int>(std::lround(lens.at("width_px").get<double>() * larger));
  shot.height_px = static_cast<int>(std::lround(lens.at("height_px").get<double>() * larger));
  return shot;
}

SampleScene read_scene(double larger) {
  std::ifstream stream(sample_folder / "truth.json");
  const json truth = json::parse(stream);
  SampleScene scene;
  for (const json& tag : truth.at("tags")) scene.tags.push_back(tag_of(tag));
  for (const json& photo : truth.at("photos")) {
    scene.files.push_back(photo.at("file").get<std::string>());
    scene.shots.push_back(shot_of(photo, truth.at("lens"), larger));
  }
  return scene;
}

std::vector<TrueTag> true_tags(const SampleScene& scene, const render::Shot& shot) {
  std::vector<TrueTag> result;
  const auto seen = render::visibility(scene.tags, shot);
  for (std::size_t i = 0; i < scene.tags.size(); ++i) {
    const render::PaperTag& tag = scene.tags[i];
    if ((shot.camera_from_world * tag.world_from_tag.translation_mm).z() < 4.0 * tag.side_mm) continue;
    const auto corners_mm = tag_corners_mm(tag.side_mm);
    TrueTag found{tag.number, {}, seen[i].whole};
    for (int k = 0; k < 4; ++k)
      found.corner_px[k] = render::picture_of(shot, tag.world_from_tag * corners_mm[k]);
    result.push_back(found);
  }
  return result;
}

TimedSet set_of(const SampleScene& scene, const std::string& name, const fs::path& folder) {
  TimedSet set{name, folder / "job.toml", {}};
  for (std::size_t i = 0; i < scene.shots.size(); ++i)
    set.photos.push_back({folder / scene.files[i], true_tags(scene, scene.shots[i])});
  return set;
}

std::vector<GreyPicture> photographs() {
  const fs::path folder = "/usr/share/doc/opencv-doc/examples/data";
  std::vector<GreyPicture> pictures;
  for (const char* name :
       {"aero1.jpg", "aero3.jpg", "aloeL.jpg", "aloeR.jpg", "baboon.jpg", "board.jpg", "box_in_scene.png",
        "building.jpg", "fruits.jpg", "graf1.png", "home.jpg", "left01.jpg", "leuvenA.jpg", "leuvenB.jpg",
        "messi5.jpg", "rubberwhale1.png", "stuff.jpg"})
    pictures.push_back(read_photo(folder / name, name).picture);
  return pictures;
}

void write_jpeg(const GreyPicture& picture, const fs::path& file) {
  constexpr int quality = 92;
  const tjhandle coder = tjInitCompress();
  unsigned char* bytes = nullptr;
  unsigned long size = 0;
  const bool fine = tjCompress2(coder, picture.grey.data(), picture.width_px, 0, picture.height_px, TJPF_GRAY,
                                &bytes, &size, TJSAMP_GRAY, quality, TJFLAG_ACCURATEDCT) == 0;
  std::ofstream stream(file, std::ios::binary);
  if (fine) stream.write(reinterpret_cast<const char*>(bytes), static_cast<std::streamsize>(size));
  tjFree(bytes);
  tjDestroy(coder);
  if (!fine || !stream) throw std::runtime_error("cannot write " + file.string());
}

void render_set(const SampleScene& scene, const TimedSet& set, const fs::path& folder) {
  fs::create_directories(folder / "photos");
  const std::vector<GreyPicture> behind = photographs();
  render::Film film;
  film.noise_grey = 3.0;
  film.jpeg_quality = 0;  // write_jpeg does it
  for (std::size_t i = 0; i < set.photos.size(); ++i) {
    std::mt19937_64 random(100 + i);
    write_jpeg(render::render_photo(scene.tags, scene.shots[i], film, random, behind), set.photos[i].file);
  }
  fs::copy_file(sample_folder / "job.toml", set.job);  // last: it says that all photos are there
}

}  // namespace

TimedSet sample_set() {
  return set_of(read_scene(1.0), "sample photos, 8 MP", sample_folder);
}

TimedSet clutter_set(const fs::path& folder) {
  const SampleScene scene = read_scene(4032.0 / 3264.0);
  const TimedSet set = set_of(scene, "clutter, 12 MP", folder);
  if (fs::exists(set.job)) return set;
  // In a process of its own: the kernel counts this one's largest size among that of programs it starts.
  const pid_t renderer = fork();
  if (renderer == 0) {
    render_set(scene, set, folder);
    _exit(0);
  }
  int status = 0;
  if (renderer < 0 || waitpid(renderer, &status, 0) != renderer || status != 0)
    throw std::runtime_error("cannot render into " + folder.string());
  return set;
}

fs::path repeated_photos_job(const TimedSet& set, int count, const fs::path& folder) {
  fs::remove_all(folder);
  fs::create_directories(folder / "photos");
  for (int i = 0; i < count; ++i) {
    const fs::path& photo = set.photos[static_cast<std::size_t>(i) % set.photos.size()].file;
    const fs::path copy = folder / "photos" / (std::to_string(i) + ".jpg");
    fs::copy_file(photo, copy);
    std::ofstream(copy, std::ios::binary | std::ios::app) << i;  // readers stop at the picture's end
  }
  fs::copy_file(set.job, folder / "job.toml");
  return folder / "job.toml";
}

}  // namespace pivotfix::bench
