// SPDX-License-Identifier: Apache-2.0
// Which photos share a lens, and what a lens is likely to be before any photo is measured.
#pragma once

#include <string>
#include <vector>

#include "lens/lens.h"
#include "photos/photos.h"

namespace pivotfix {

struct LensGroup {
  CameraDescription camera{};
  std::string words{};        // "Halm Pocket 3, 3264 x 2448 px, 5.6 mm"
  Lens expected{};            // from the 35 mm equivalent, distortion zero, principal point in the middle
  bool focal_known = false;   // false: the photos do not say, `expected` has a common phone's
  std::vector<int> photos{};  // indices into the list given
};

bool same_lens(const CameraDescription& a, const CameraDescription& b);
std::string in_words(const CameraDescription& camera);

// Photos share a lens when make, model, lens, picture size, focal length and zoom are the same. Groups are in
// the order of their first photo.
std::vector<LensGroup> group_by_lens(const std::vector<CameraDescription>& photos);

}  // namespace pivotfix
