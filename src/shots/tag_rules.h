// SPDX-License-Identifier: Apache-2.0
// What a tag needs of photos to be well known: common practice in close-range photogrammetry, rounded to
// numbers one can remember.
#pragma once

#include <string>

#include "network/network.h"

namespace pivotfix {

inline constexpr int fewest_photos_of_tag = 4;
inline constexpr int fewest_photos_of_moving_tag = 2;  // in each set: its part's other tags hold it
inline constexpr double smallest_widest_angle_deg = 60.0;

inline int fewest_photos_of(const TagInSpace& tag) {
  return tag.set.empty() ? fewest_photos_of_tag : fewest_photos_of_moving_tag;
}

// "7", "56 in up 20".
inline std::string name_of(const TagInSpace& tag) {
  return std::to_string(tag.number) + (tag.set.empty() ? "" : " in " + tag.set);
}

}  // namespace pivotfix
