// SPDX-License-Identifier: Apache-2.0
// What JPEG does to a picture. Whoever includes it links libturbojpeg.
#pragma once

#include <turbojpeg.h>

#include <stdexcept>

#include "photos/photos.h"

namespace pivotfix::render {

inline void through_jpeg(GreyPicture& picture, int quality) {
  tjhandle coder = tjInitCompress();
  unsigned char* bytes = nullptr;
  unsigned long size = 0;
  bool fine = tjCompress2(coder, picture.grey.data(), picture.width_px, 0, picture.height_px, TJPF_GRAY,
                          &bytes, &size, TJSAMP_GRAY, quality, TJFLAG_ACCURATEDCT) == 0;
  tjDestroy(coder);
  tjhandle decoder = tjInitDecompress();
  fine = fine && tjDecompress2(decoder, bytes, size, picture.grey.data(), picture.width_px, 0,
                               picture.height_px, TJPF_GRAY, TJFLAG_ACCURATEDCT) == 0;
  tjDestroy(decoder);
  tjFree(bytes);
  if (!fine) throw std::runtime_error("JPEG round trip failed");
}

}  // namespace pivotfix::render
