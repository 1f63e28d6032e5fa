// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <string_view>

#include "photos/picture_formats.h"

namespace pivotfix {

// ISO base media file: box size, "ftyp", brand. Recognised only to tell the user what to do.
bool looks_like_heif(Bytes bytes) {
  constexpr std::string_view box = "ftyp";
  return bytes.size() >= 12 && std::equal(box.begin(), box.end(), bytes.begin() + 4);
}

}  // namespace pivotfix
