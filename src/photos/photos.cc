// SPDX-License-Identifier: Apache-2.0
#include "photos/photos.h"

#include <algorithm>
#include <fstream>
#include <system_error>

#include "base/checksum.h"
#include "base/problem.h"
#include "photos/photo_file.h"
#include "photos/picture_formats.h"

namespace pivotfix {
namespace {

// A 200 megapixel JPEG stays well below; what is larger is no photo.
constexpr std::uintmax_t largest_file_bytes = 1'000'000'000;

[[noreturn]] void refuse(const std::string& name, const std::string& what, const std::string& remedy) {
  throw Problem(ProblemKind::input, what, remedy, Place{name});
}

std::vector<std::uint8_t> read_bytes(const std::filesystem::path& file, const std::string& name) {
  std::error_code error;
  const auto status = std::filesystem::status(file, error);
  if (!std::filesystem::exists(status)) {
    refuse(name, "There is no such photo.", "Check the name and the folder.");
  }
  if (std::filesystem::is_directory(status)) {
    refuse(name, "This is a folder, not a photo.", "Name the photos in it, for example with *.jpg.");
  }
  if (!std::filesystem::is_regular_file(status)) {
    refuse(name, "This is no ordinary file.", "Name a JPEG, PNG or HEIC file.");
  }
  const std::uintmax_t size = std::filesystem::file_size(file, error);
  if (error) refuse(name, "The photo cannot be read.", "Check that you may read the file.");
  if (size == 0) refuse(name, "The file is empty.", "Copy the photo from the camera again.");
  if (size > largest_file_bytes) {
    refuse(name, "The file is larger than 1 GB.", "Name a JPEG, PNG or HEIC photo.");
  }
  std::vector<std::uint8_t> bytes(static_cast<std::size_t>(size));
  std::ifstream stream(file, std::ios::binary);
  if (!stream.read(reinterpret_cast<char*>(bytes.data()), static_cast<std::streamsize>(bytes.size()))) {
    refuse(name, "The photo cannot be read.", "Check that you may read the file.");
  }
  return bytes;
}

// As the sensor of a phone held upright stored it, which the flag 6 turns clockwise for showing. Held the
// other way, it comes to lie on its head, and the photo's own shift takes up what the lens is off the middle.
GreyPicture laid_down(const GreyPicture& upright) {
  constexpr int tile_px = 32;  // so that columns of it stay in the processor's cache
  GreyPicture lying{upright.height_px, upright.width_px, {}};
  lying.grey.resize(upright.grey.size());
  for (int top = 0; top < lying.height_px; top += tile_px)
    for (int left = 0; left < lying.width_px; left += tile_px)
      for (int y = top; y < std::min(top + tile_px, lying.height_px); ++y)
        for (int x = left; x < std::min(left + tile_px, lying.width_px); ++x)
          lying.grey[static_cast<std::size_t>(y) * lying.width_px + x] =
              upright.grey[static_cast<std::size_t>(x) * upright.width_px + (upright.width_px - 1 - y)];
  return lying;
}

void lay_down_where_turned(Photo& photo) {
  constexpr int untouched = 1, clockwise = 6;
  if (photo.picture.height_px <= photo.picture.width_px || photo.exif_orientation != untouched) return;
  photo.picture = laid_down(photo.picture);
  photo.exif_orientation = clockwise;
}

}  // namespace

void check_picture_size(long long width_px, long long height_px, const std::string& name) {
  constexpr long long most_pixels = 200'000'000;
  if (width_px <= 0 || height_px <= 0) {
    refuse(name, "The picture has no pixels.", "Copy the photo from the camera again.");
  }
  if (width_px > most_pixels / height_px) {
    refuse(name,
           "The picture is " + std::to_string(width_px) + " x " + std::to_string(height_px) +
               " pixels, more than 200 megapixels.",
           "Take the photos at 8 to 50 megapixels.");
  }
}

PhotoFile read_photo_file(const std::filesystem::path& file, const std::string& name) {
  PhotoFile photo{name, read_bytes(file, name), {}};
  photo.checksum = xxh64(photo.bytes);
  return photo;
}

Photo decode_photo(const PhotoFile& file) {
  Photo photo;
  photo.name = file.name;
  photo.checksum = file.checksum;
  const auto take = [&](ExifFacts exif) {
    photo.camera = std::move(exif.camera);
    photo.exif_orientation = exif.orientation;
  };
  if (looks_like_jpeg(file.bytes)) {
    photo.picture = decode_jpeg(file.bytes, file.name);
    take(read_exif(file.bytes));
  } else if (looks_like_png(file.bytes)) {
    photo.picture = decode_png(file.bytes, file.name);
  } else if (looks_like_heif(file.bytes)) {
    photo.picture = decode_heif(file.bytes, file.name);
    take(read_heif_exif(file.bytes, file.name));
  } else {
    refuse(file.name, "This is neither a JPEG nor a PNG nor a HEIC picture.",
           "Name a JPEG, PNG or HEIC photo.");
  }
  lay_down_where_turned(photo);
  photo.camera.width_px = photo.picture.width_px;
  photo.camera.height_px = photo.picture.height_px;
  return photo;
}

std::string time_taken(const PhotoFile& file) {
  if (looks_like_jpeg(file.bytes)) return read_exif(file.bytes).taken;
  if (looks_like_heif(file.bytes)) return read_heif_exif(file.bytes, file.name).taken;
  return {};
}

Photo read_photo(const std::filesystem::path& file, const std::string& name) {
  return decode_photo(read_photo_file(file, name));
}

}  // namespace pivotfix
