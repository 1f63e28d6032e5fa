// SPDX-License-Identifier: Apache-2.0
#include "photos/photo_libraries.h"

#include <libheif/heif.h>
#include <png.h>

namespace pivotfix {

std::string photo_libraries() {
  return std::string("libheif ") + heif_get_version() + ", libpng " + png_get_libpng_ver(nullptr) +
         ", libturbojpeg " PIVOTFIX_TURBOJPEG_VERSION ", libexif " PIVOTFIX_EXIF_VERSION;
}

}  // namespace pivotfix
