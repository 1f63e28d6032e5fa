// SPDX-License-Identifier: Apache-2.0
#include "lens/lens_groups.h"

#include <cmath>
#include <tuple>

#include "base/units.h"

namespace pivotfix {

namespace {

constexpr double full_frame_diagonal_mm = 43.267;  // of 36 mm x 24 mm
constexpr double common_phone_35mm_mm = 26.0;      // common practice: main cameras of phones have 24 to 28

}  // namespace

bool same_lens(const CameraDescription& a, const CameraDescription& b) {
  const auto key = [](const CameraDescription& c) {
    return std::tie(c.make, c.model, c.lens_model, c.focal_length_mm, c.focal_length_35mm_mm, c.digital_zoom,
                    c.width_px, c.height_px);
  };
  return key(a) == key(b);
}

std::string in_words(const CameraDescription& camera) {
  std::string words = camera.make;
  if (!camera.model.empty()) words += (words.empty() ? "" : " ") + camera.model;
  if (words.empty()) words = "unnamed camera";
  words += ", " + std::to_string(camera.width_px) + " x " + std::to_string(camera.height_px) + " px";
  if (camera.focal_length_mm > 0.0) words += ", " + format_fixed(camera.focal_length_mm, 1) + " mm";
  if (camera.digital_zoom > 1.0) words += ", zoomed " + format_fixed(camera.digital_zoom, 2) + " times";
  return words;
}

std::vector<LensGroup> group_by_lens(const std::vector<CameraDescription>& photos) {
  std::vector<LensGroup> groups;
  for (std::size_t i = 0; i < photos.size(); ++i) {
    const CameraDescription& camera = photos[i];
    LensGroup* home = nullptr;
    for (LensGroup& group : groups)
      if (same_lens(group.camera, camera)) home = &group;
    if (!home) {
      groups.emplace_back();
      home = &groups.back();
      home->camera = camera;
      home->words = in_words(camera);
      home->focal_known = camera.focal_length_35mm_mm > 0.0;
      const double focal_35mm = home->focal_known ? camera.focal_length_35mm_mm : common_phone_35mm_mm;
      const double diagonal_px = std::hypot(camera.width_px, camera.height_px);
      home->expected.values[lens_focal_px] = focal_35mm / full_frame_diagonal_mm * diagonal_px;
      home->expected.values[lens_principal_x_px] = 0.5 * (camera.width_px - 1);
      home->expected.values[lens_principal_y_px] = 0.5 * (camera.height_px - 1);
    }
    home->photos.push_back(static_cast<int>(i));
  }
  return groups;
}

}  // namespace pivotfix
