// SPDX-License-Identifier: Apache-2.0
// The picture formats behind read_photo: bytes in, grey values out. Private to this folder.
#pragma once

#include <cstdint>
#include <span>
#include <string>

#include "photos/photos.h"

namespace pivotfix {

using Bytes = std::span<const std::uint8_t>;

bool looks_like_jpeg(Bytes bytes);
bool looks_like_png(Bytes bytes);
bool looks_like_heif(Bytes bytes);

// All throw Problem(input) naming `name`.
GreyPicture decode_jpeg(Bytes bytes, const std::string& name);
GreyPicture decode_png(Bytes bytes, const std::string& name);
GreyPicture decode_heif(Bytes bytes, const std::string& name);

// What the EXIF block of a JPEG file, or a block of its own, says; defaults when there is none.
struct ExifFacts {
  CameraDescription camera{};
  int orientation = 1;
  std::string taken{};
};
ExifFacts read_exif(Bytes bytes);
ExifFacts read_heif_exif(Bytes bytes, const std::string& name);

// Throws Problem(input) when the size is not positive or above 200 megapixels.
void check_picture_size(long long width_px, long long height_px, const std::string& name);

}  // namespace pivotfix
