// SPDX-License-Identifier: Apache-2.0
// A photo made small for reports: grey, as the sensor stored it, as a JPEG file in memory.
#pragma once

#include <string>

#include "photos/photos.h"

namespace pivotfix {

struct Thumbnail {
  int width_px = 0;
  int height_px = 0;
  double scale = 1.0;   // thumbnail pixels for each pixel of the photo, never above 1
  int orientation = 1;  // EXIF's, 1 to 8: how to turn it for showing
  std::string jpeg{};
};

struct ThumbnailOptions {
  int longest_px = 640;
  std::size_t most_bytes = 80'000;  // of the JPEG: its quality is lowered, then its size, until it fits
};

// Throws Problem(internal) when the encoder does not start.
Thumbnail make_thumbnail(const Photo& photo, const ThumbnailOptions& options = {});

}  // namespace pivotfix
