// SPDX-License-Identifier: Apache-2.0
// What a photo's own tags say about focus and light.
#include "network/picture_quality.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace pivotfix {
namespace {

using testing::HasSubstr;

Sighting seen_with(double blur_px, double contrast, double white) {
  Sighting sighting;
  sighting.blur_px = blur_px;
  sighting.contrast = contrast;
  sighting.white = white;
  return sighting;
}

TEST(PictureQuality, IsTheMiddleOneOfThePhotosTags) {
  const PictureQuality quality =
      picture_quality({seen_with(0.7, 150, 200), seen_with(5.0, 20, 60), seen_with(0.9, 140, 190)}, 4000);
  EXPECT_DOUBLE_EQ(quality.blur_px, 0.9);
  EXPECT_DOUBLE_EQ(quality.contrast, 140);
  EXPECT_DOUBLE_EQ(quality.white, 190);
}

TEST(PictureTrouble, IsSilentForAGoodPhotoAndForOneWithoutTags) {
  EXPECT_EQ(picture_trouble({0.9, 140, 190}), "");
  EXPECT_EQ(picture_trouble(picture_quality({}, 4000)), "");
}

TEST(PictureTrouble, NamesBlurDarknessAndBurntPaper) {
  EXPECT_EQ(picture_trouble({2.7, 140, 190}), "blurred by 2.7 px: hold still, or bring more light");
  EXPECT_THAT(picture_trouble({0.9, 31, 60}), HasSubstr("dark, black and white of the tags are only 31"));
  EXPECT_THAT(picture_trouble({0.9, 140, 254}), HasSubstr("over-exposed"));
}

// The same lens and hand before a sensor of twice as many pixels across blur twice as many of them.
TEST(PictureTrouble, AllowsAPictureOfMorePixelsAsMuchOfItsWidth) {
  EXPECT_EQ(picture_trouble({2.7, 140, 190, 8064}), "");
  EXPECT_EQ(picture_trouble({4.2, 140, 190, 8064}), "blurred by 4.2 px: hold still, or bring more light");
  EXPECT_NE(picture_trouble({2.7, 140, 190, 4032}), "");
  EXPECT_EQ(picture_trouble({1.9, 140, 190, 1600}), "");
}

}  // namespace
}  // namespace pivotfix
