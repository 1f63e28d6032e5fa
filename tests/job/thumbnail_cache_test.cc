// SPDX-License-Identifier: Apache-2.0
#include "job/thumbnail_cache.h"

#include <gtest/gtest.h>

#include "base/temporary_folder.h"

namespace pivotfix {
namespace {

Thumbnail made_up() {
  return {640, 480, 0.16, 6, "\xFF\xD8\xFF rest of a picture \xFF\xD9"};
}

class KeptThumbnail : public testing::Test {
 protected:
  KeptThumbnail() { cache_.keep(photo_, options_, made_up()); }

  TemporaryFolder folder_{};
  ThumbnailCache cache_{folder_.path() / "cache", "code 1"};
  PhotoFile photo_{"a.jpg", {1, 2, 3}, "0123456789abcdef"};
  ThumbnailOptions options_{640, 75'000};
};

TEST_F(KeptThumbnail, ComesBackAsItWas) {
  const std::optional<Thumbnail> back = cache_.find(photo_, options_);
  ASSERT_TRUE(back);
  EXPECT_EQ(back->width_px, 640);
  EXPECT_EQ(back->height_px, 480);
  EXPECT_EQ(back->scale, 0.16);
  EXPECT_EQ(back->orientation, 6);
  EXPECT_EQ(back->jpeg, made_up().jpeg);
}

TEST_F(KeptThumbnail, OfAnotherPhotoSizeOrCodeDoesNotCount) {
  EXPECT_FALSE(cache_.find({"b.jpg", {1, 2, 3}, "1123456789abcdef"}, options_));
  EXPECT_FALSE(cache_.find({"a.jpg", {1, 2, 3, 4}, photo_.checksum}, options_))
      << "same checksum by accident";
  EXPECT_FALSE(cache_.find(photo_, {572, 75'000}));
  EXPECT_FALSE(cache_.find(photo_, {640, 60'000}));
  EXPECT_FALSE(ThumbnailCache(folder_.path() / "cache", "code 2").find(photo_, options_));
}

TEST_F(KeptThumbnail, NoticesEveryCutAndEveryChangedByte) {
  const std::string whole = content_of(cache_.file_of(photo_));
  const std::string file = "cache/" + cache_.file_of(photo_).filename().string();
  for (std::size_t at = 0; at < whole.size(); ++at) {
    folder_.write(file, whole.substr(0, at));
    EXPECT_FALSE(cache_.find(photo_, options_)) << at;
    std::string changed = whole;
    changed[at] = static_cast<char>(changed[at] ^ 0x10);
    folder_.write(file, changed);
    EXPECT_FALSE(cache_.find(photo_, options_)) << at;
  }
  folder_.write(file, whole);
  EXPECT_TRUE(cache_.find(photo_, options_));
}

TEST_F(KeptThumbnail, GivesWayToOneOfAnotherSize) {
  cache_.keep(photo_, {320, 40'000}, {320, 240, 0.08, 6, made_up().jpeg});
  EXPECT_FALSE(cache_.find(photo_, options_));
  EXPECT_TRUE(cache_.find(photo_, {320, 40'000}));
}

// The checksum is right, the thumbnail is none: an entry from a stranger.
TEST_F(KeptThumbnail, IsNotTakenWhereNoneCouldBeMadeLikeThat) {
  for (int k = 0; k < 8; ++k) {
    Thumbnail thumbnail = made_up();
    if (k == 0) thumbnail.width_px = 641;
    if (k == 1) thumbnail.height_px = 0;
    if (k == 2) thumbnail.scale = 1.5;
    if (k == 3) thumbnail.orientation = 9;
    if (k == 4) thumbnail.jpeg = "<script>";
    if (k == 5) thumbnail.jpeg.insert(4, 80'000, 'x');
    if (k == 6) thumbnail.jpeg.pop_back();
    if (k == 7) thumbnail.scale = 0.0;
    cache_.keep(photo_, options_, thumbnail);
    EXPECT_FALSE(cache_.find(photo_, options_)) << k;
  }
}

}  // namespace
}  // namespace pivotfix
