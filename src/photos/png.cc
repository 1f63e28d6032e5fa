// SPDX-License-Identifier: Apache-2.0
#include <png.h>

#include <algorithm>
#include <array>

#include "base/problem.h"
#include "photos/picture_formats.h"

namespace pivotfix {
namespace {

struct Reader {
  png_image image{};
  Reader() { image.version = PNG_IMAGE_VERSION; }
  Reader(const Reader&) = delete;
  Reader& operator=(const Reader&) = delete;
  ~Reader() { png_image_free(&image); }
};

[[noreturn]] void refuse(const std::string& name, const png_image& image) {
  throw Problem(ProblemKind::input, std::string("The PNG is damaged or incomplete (") + image.message + ").",
                "Copy the photo again.", Place{name});
}

}  // namespace

bool looks_like_png(Bytes bytes) {
  constexpr std::array<std::uint8_t, 8> signature{0x89, 'P', 'N', 'G', '\r', '\n', 0x1A, '\n'};
  return bytes.size() >= signature.size() && std::equal(signature.begin(), signature.end(), bytes.begin());
}

GreyPicture decode_png(Bytes bytes, const std::string& name) {
  Reader reader;
  png_image& image = reader.image;
  if (!png_image_begin_read_from_memory(&image, bytes.data(), bytes.size())) refuse(name, image);
  check_picture_size(image.width, image.height, name);
  // 16 bits without a word on their curve: programs that store photos so keep the camera's. The library takes
  // them for linear and would put the curve on a second time.
  image.flags |= PNG_IMAGE_FLAG_16BIT_sRGB;
  image.format = PNG_FORMAT_GRAY;
  GreyPicture picture;
  picture.width_px = static_cast<int>(image.width);
  picture.height_px = static_cast<int>(image.height);
  picture.grey.resize(static_cast<std::size_t>(image.width) * image.height);
  const png_color white_behind_transparent{255, 255, 255};
  if (!png_image_finish_read(&image, &white_behind_transparent, picture.grey.data(), picture.width_px,
                             nullptr)) {
    refuse(name, image);
  }
  return picture;
}

}  // namespace pivotfix
