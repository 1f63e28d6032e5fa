// SPDX-License-Identifier: Apache-2.0
// JPEG, PNG and HEIC, with what their EXIF says. The picture itself is decoded by libraries; what is ours is
// around them.
#include "fuzz/fuzz.h"
#include "photos/photo_file.h"
#include "photos/thumbnail.h"

using namespace pivotfix;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  PhotoFile file;
  file.name = "photo.jpg";
  file.bytes.assign(data, data + size);
  read_or_complain([&] { time_taken(file); });
  Photo photo;
  if (!read_or_complain([&] { photo = decode_photo(file); })) return 0;
  must_hold(
      photo.picture.grey.size() == static_cast<std::size_t>(photo.picture.width_px) * photo.picture.height_px,
      "a picture has as many grey values as pixels");
  must_hold(photo.exif_orientation >= 1 && photo.exif_orientation <= 8, "a photo is turned in a known way");
  if (photo.picture.grey.size() < 100000) make_thumbnail(photo);
  return 0;
}
