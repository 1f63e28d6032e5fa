// SPDX-License-Identifier: Apache-2.0
// Rendered photographs of a corner at several heights, and of a pointer, searched for tags by the program.
#pragma once

#include <filesystem>
#include <functional>
#include <vector>

#include "locate/heights_scene.h"
#include "render/photo_renderer.h"

namespace pivotfix::bench {

// One photograph to be made: what stands before the camera, and from where.
struct PhotoOrder {
  std::vector<render::PaperTag> tags{};
  render::Shot shot{};
  unsigned seed = 1;
};

// An 8 megapixel phone camera with Brown distortion, as it looks from there; or the same lens on a picture of
// another width, 4:3.
inline constexpr int usual_width_px = 3264;
render::Shot phone_at(const Eigen::Vector3d& place_mm, const Eigen::Vector3d& aim_mm, double roll_rad,
                      int width_px = usual_width_px);
CameraDescription phone();

// Renders it into a JPEG file.
void write_photo(const PhotoOrder& order, const std::filesystem::path& file);

// Runs `work` for 0 .. count-1 on all cores.
void on_all_cores(std::size_t count, const std::function<void(std::size_t)>& work);

// Sightings in each photograph. With a folder, the photographs are kept there as JPEG files and taken from
// there the next time, by `prefix` and number.
std::vector<std::vector<Sighting>> photograph(const std::vector<PhotoOrder>& orders,
                                              const std::string& prefix, const std::filesystem::path& folder);

// Fills the scene's input with photos of all its views.
void photograph(HeightsScene& scene, const std::string& prefix, const std::filesystem::path& folder);

}  // namespace pivotfix::bench
