// SPDX-License-Identifier: Apache-2.0
// Thumbnails are decoded again by the format's own library.
#include "photos/thumbnail.h"

#include <gtest/gtest.h>
#include <turbojpeg.h>

#include <algorithm>
#include <random>

namespace pivotfix {
namespace {

Photo photo_of(int width_px, int height_px) {
  Photo photo;
  photo.picture = {width_px, height_px, {}};
  photo.picture.grey.resize(static_cast<std::size_t>(width_px) * height_px);
  return photo;
}

std::vector<unsigned char> decoded(const Thumbnail& thumbnail) {
  std::vector<unsigned char> grey(static_cast<std::size_t>(thumbnail.width_px) * thumbnail.height_px);
  const auto* bytes = reinterpret_cast<const unsigned char*>(thumbnail.jpeg.data());
  tjhandle decoder = tjInitDecompress();
  int width = 0, height = 0, subsampling = 0, colours = 0;
  EXPECT_EQ(
      tjDecompressHeader3(decoder, bytes, thumbnail.jpeg.size(), &width, &height, &subsampling, &colours), 0);
  EXPECT_EQ(width, thumbnail.width_px);
  EXPECT_EQ(height, thumbnail.height_px);
  EXPECT_EQ(tjDecompress2(decoder, bytes, thumbnail.jpeg.size(), grey.data(), width, 0, height, TJPF_GRAY, 0),
            0);
  tjDestroy(decoder);
  return grey;
}

TEST(Thumbnail, IsThePictureMadeSmall) {
  Photo photo = photo_of(1600, 1200);  // dark left half, bright right half
  for (std::size_t i = 0; i < photo.picture.grey.size(); ++i)
    photo.picture.grey[i] = i % 1600 < 800 ? 40 : 200;
  photo.exif_orientation = 6;
  const Thumbnail thumbnail = make_thumbnail(photo);
  EXPECT_EQ(thumbnail.width_px, 640);
  EXPECT_EQ(thumbnail.height_px, 480);
  EXPECT_DOUBLE_EQ(thumbnail.scale, 0.4);
  EXPECT_EQ(thumbnail.orientation, 6);
  const std::vector<unsigned char> grey = decoded(thumbnail);
  EXPECT_NEAR(grey.at(240 * 640 + 100), 40, 3);
  EXPECT_NEAR(grey.at(240 * 640 + 540), 200, 3);
}

// Some 313 rows of 255 for each small pixel.
TEST(Thumbnail, OfAPictureThatIsVeryLongKeepsItsGrey) {
  Photo photo = photo_of(64, 200'000);
  std::fill(photo.picture.grey.begin(), photo.picture.grey.end(), std::uint8_t{255});
  const Thumbnail thumbnail = make_thumbnail(photo);
  EXPECT_EQ(thumbnail.height_px, 640);
  for (const unsigned char grey : decoded(thumbnail)) EXPECT_NEAR(grey, 255, 1);
}

TEST(Thumbnail, ASmallPictureKeepsItsSize) {
  const Thumbnail thumbnail = make_thumbnail(photo_of(31, 7));
  EXPECT_EQ(thumbnail.width_px, 31);
  EXPECT_EQ(thumbnail.height_px, 7);
  EXPECT_EQ(thumbnail.scale, 1.0);
}

// Noise is what JPEG packs worst.
TEST(Thumbnail, NeverWeighsMoreThanItMay) {
  Photo photo = photo_of(2000, 1500);
  std::mt19937 random(7);
  for (std::uint8_t& grey : photo.picture.grey) grey = static_cast<std::uint8_t>(random());
  for (const std::size_t most_bytes : {80'000u, 5'000u}) {
    const Thumbnail thumbnail = make_thumbnail(photo, {1500, most_bytes});
    EXPECT_LE(thumbnail.jpeg.size(), most_bytes);
    EXPECT_GE(thumbnail.width_px, 32);
  }
}

}  // namespace
}  // namespace pivotfix
