// SPDX-License-Identifier: Apache-2.0
#include "photos/photo_libraries.h"

#include <gtest/gtest.h>
#include <png.h>

namespace pivotfix {
namespace {

TEST(PhotoLibraries, AreNamedWithTheirVersionsInOneLine) {
  const std::string libraries = photo_libraries();
  EXPECT_NE(libraries.find(std::string("libpng ") + PNG_LIBPNG_VER_STRING), std::string::npos) << libraries;
  for (const std::string name : {"libheif ", "libpng ", "libturbojpeg ", "libexif "}) {
    const std::size_t at = libraries.find(name);
    ASSERT_NE(at, std::string::npos) << libraries;
    const char first = libraries.at(at + name.size());
    EXPECT_TRUE(first >= '0' && first <= '9') << libraries;
  }
  EXPECT_EQ(libraries.find('\n'), std::string::npos);
}

}  // namespace
}  // namespace pivotfix
