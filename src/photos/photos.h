// SPDX-License-Identifier: Apache-2.0
// A file becomes grey values as the sensor stored them, and what the camera said of itself.
//
// The EXIF turning flag is read but never applied: one camera has one picture frame, however it was held. A
// picture that stands upright without the flag was turned by a program, as messengers do; it is laid down
// again. Pixel (0, 0) is the centre of the first stored pixel (docs/conventions.md).
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

namespace pivotfix {

// 8-bit luma as coded in the file, row by row, width_px bytes a row.
struct GreyPicture {
  int width_px = 0;
  int height_px = 0;
  std::vector<std::uint8_t> grey{};
};

// What tells one lens from another; empty or zero where the file does not say.
struct CameraDescription {
  std::string make{};
  std::string model{};
  std::string lens_model{};
  double focal_length_mm = 0.0;
  double focal_length_35mm_mm = 0.0;  // 35 mm equivalent (by the diagonal, 43.27 mm)
  double digital_zoom = 1.0;
  int width_px = 0;
  int height_px = 0;
};

struct Photo {
  std::string name{};  // path as the user wrote it, for messages and reports
  GreyPicture picture{};
  CameraDescription camera{};
  int exif_orientation = 1;  // 1..8, only for showing the photo upright
  std::string checksum{};    // XXH64 of the file's bytes, 16 hexadecimal digits
};

// JPEG and PNG. Throws Problem(input) naming the file when it is missing, empty, truncated, no picture,
// or larger than 200 megapixels.
Photo read_photo(const std::filesystem::path& file, const std::string& name);

}  // namespace pivotfix
