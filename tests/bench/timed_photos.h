// SPDX-License-Identifier: Apache-2.0
// The photos that the speed table is measured on, and what is on them.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "tags/tags.h"

namespace pivotfix::bench {

struct TrueTag {
  int number = 0;
  TagCorners corner_px{};
  bool whole = false;  // its whole face in the picture, though something may still hide it
};

struct TimedPhoto {
  std::filesystem::path file{};
  std::vector<TrueTag> tags{};  // all that are in front of the camera
};

struct TimedSet {
  std::string name{};
  std::filesystem::path job{};  // a job file that names the photos
  std::vector<TimedPhoto> photos{};
};

// The sample job as it is: 32 photos of 8 megapixels.
TimedSet sample_set();

// The sample job's tags seen from its stations in 12 megapixels, before a patchwork of opencv-doc's
// photographs, with noise and a phone's sharpening. Rendered into `folder` the first time, about two minutes.
TimedSet clutter_set(const std::filesystem::path& folder);

// A job of `count` photos in `folder`: those of the set again and again, each file a little different.
std::filesystem::path repeated_photos_job(const TimedSet& set, int count,
                                          const std::filesystem::path& folder);

}  // namespace pivotfix::bench
