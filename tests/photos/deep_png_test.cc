// SPDX-License-Identifier: Apache-2.0
// PNG files of 16 bits, written here with libpng's own encoder.
#include <gtest/gtest.h>
#include <png.h>

#include "photos/photo_file.h"

namespace pivotfix {
namespace {

using Bytes = std::vector<std::uint8_t>;

// Each grey value as 16 bits, and nothing said of their curve.
Bytes deep_png_of(const GreyPicture& picture) {
  png_structp coder = png_create_write_struct(PNG_LIBPNG_VER_STRING, nullptr, nullptr, nullptr);
  png_infop head = png_create_info_struct(coder);
  Bytes bytes;
  png_set_write_fn(
      coder, &bytes,
      [](png_structp writing, png_bytep data, png_size_t size) {
        auto& to = *static_cast<Bytes*>(png_get_io_ptr(writing));
        to.insert(to.end(), data, data + size);
      },
      [](png_structp) {});
  png_set_IHDR(coder, head, static_cast<png_uint_32>(picture.width_px),
               static_cast<png_uint_32>(picture.height_px), 16, PNG_COLOR_TYPE_GRAY, PNG_INTERLACE_NONE,
               PNG_COMPRESSION_TYPE_DEFAULT, PNG_FILTER_TYPE_DEFAULT);
  png_write_info(coder, head);
  for (int y = 0; y < picture.height_px; ++y) {
    Bytes row;
    for (int x = 0; x < picture.width_px; ++x)
      row.insert(row.end(), 2, picture.grey[static_cast<std::size_t>(y) * picture.width_px + x]);
    png_write_row(coder, row.data());
  }
  png_write_end(coder, head);
  png_destroy_write_struct(&coder, &head);
  return bytes;
}

// v * 257 is 16 bits of the same brightness as 8 bits of v.
TEST(DeepPng, IsReadExactly) {
  GreyPicture truth{16, 16, Bytes(256)};
  for (std::size_t i = 0; i < 256; ++i) truth.grey[i] = static_cast<std::uint8_t>(i);
  EXPECT_EQ(decode_photo({"deep.png", deep_png_of(truth), {}}).picture.grey, truth.grey);
}

}  // namespace
}  // namespace pivotfix
