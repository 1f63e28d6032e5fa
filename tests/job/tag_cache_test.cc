// SPDX-License-Identifier: Apache-2.0
#include "job/tag_cache.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "base/temporary_folder.h"
#include "lens/lens_groups.h"
#include "tags/same_sighting.h"

namespace pivotfix {
namespace {

FoundInPhoto made_up() {
  FoundInPhoto found;
  found.camera = {"Invented", "Phone 1", "Main lens", 5.96, 26.0, 1.5, 4000, 3000};
  found.taken = "2026:05:17 14:03:59";
  for (int k = 0; k < 3; ++k) {
    Sighting sighting;
    sighting.tag_number = 7 + k;
    for (int c = 0; c < 4; ++c) sighting.corner_px[static_cast<std::size_t>(c)] = {1.0 / 3.0 + c, k};
    sighting.centre_px = {0.1, 1e-300};
    for (std::size_t e = 0; e < 4; ++e)
      for (std::size_t i = 0; i < e; ++i)
        sighting.edge_points[e].push_back({{static_cast<double>(i) + 0.7, 2.0 / 7.0}});
    sighting.edge_noise_px = 0.01;
    sighting.rim_doubt_px = {0.1, 0.2, 0.3, 0.0};
    sighting.blur_px = 0.8;
    sighting.contrast = 150;
    sighting.white = 220;
    sighting.wrong_cells = 1;
    found.sightings.push_back(sighting);
  }
  return found;
}

class Cache : public testing::Test {
 protected:
  TemporaryFolder folder_{};
  TagCache cache_{folder_.path() / "cache", "search 1"};
  PhotoFile photo_{"a.jpg", {1, 2, 3}, "0123456789abcdef"};
};

TEST_F(Cache, GivesBackTheSameBits) {
  EXPECT_FALSE(cache_.find(photo_).found);
  EXPECT_FALSE(cache_.find(photo_).damaged);
  cache_.keep(photo_, made_up());
  const TagCache::Entry entry = cache_.find(photo_);
  ASSERT_TRUE(entry.found);
  const FoundInPhoto wanted = made_up();
  EXPECT_TRUE(same_lens(entry.found->camera, wanted.camera));  // in each thing said of it
  EXPECT_EQ(entry.found->taken, wanted.taken);
  ASSERT_EQ(entry.found->sightings.size(), 3U);
  for (std::size_t k = 0; k < 3; ++k) expect_same(entry.found->sightings[k], wanted.sightings[k]);
}

TEST_F(Cache, AnotherPhotoOrAnotherSearchDoesNotCount) {
  cache_.keep(photo_, made_up());
  EXPECT_FALSE(cache_.find({"b.jpg", {1, 2, 3}, "1123456789abcdef"}).found);
  EXPECT_FALSE(cache_.find({"a.jpg", {1, 2, 3, 4}, photo_.checksum}).found) << "same checksum by accident";
  const TagCache::Entry stale = TagCache(folder_.path() / "cache", "search 2").find(photo_);
  EXPECT_FALSE(stale.found);
  EXPECT_FALSE(stale.damaged);
}

TEST_F(Cache, NoticesEveryCutAndEveryChangedByte) {
  cache_.keep(photo_, made_up());
  const std::string whole = content_of(cache_.file_of(photo_));
  for (std::size_t size = 0; size < whole.size(); ++size) {
    folder_.write("cache/" + photo_.checksum + ".tags", whole.substr(0, size));
    EXPECT_FALSE(cache_.find(photo_).found) << size;
    EXPECT_TRUE(cache_.find(photo_).damaged) << size;
  }
  for (std::size_t at = 0; at < whole.size(); ++at) {
    std::string changed = whole;
    changed[at] = static_cast<char>(changed[at] ^ 0x10);
    folder_.write("cache/" + photo_.checksum + ".tags", changed);
    EXPECT_FALSE(cache_.find(photo_).found) << at;
  }
}

TEST_F(Cache, DoesWithoutWhereNothingCanBeWritten) {
  folder_.write("in the way", "a file");
  const TagCache cache(folder_.path() / "in the way", "search 1");
  cache.keep(photo_, made_up());
  EXPECT_FALSE(cache.find(photo_).found);
}

// The checksum is right, the numbers are not: an entry from a stranger.
TEST_F(Cache, DoesNotTakeWhatNoSearchFinds) {
  for (int k = 0; k < 6; ++k) {
    FoundInPhoto found = made_up();
    if (k == 0) found.sightings[1].tag_number = 1'000'000;
    if (k == 1) found.sightings[1].corner_px[2].x() = std::nan("");
    if (k == 2) found.sightings[1].edge_points[3][0].point_px.y() = 1e12;
    if (k == 3) found.camera.height_px = 0;
    if (k == 4) found.camera.width_px = found.camera.height_px = std::numeric_limits<int>::max();
    if (k == 5) found.camera.focal_length_35mm_mm = std::nan("");
    cache_.keep(photo_, found);
    EXPECT_FALSE(cache_.find(photo_).found) << k;
    EXPECT_TRUE(cache_.find(photo_).damaged) << k;
  }
}

}  // namespace
}  // namespace pivotfix
