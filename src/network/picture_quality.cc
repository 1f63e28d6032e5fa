// SPDX-License-Identifier: Apache-2.0
#include "network/picture_quality.h"

#include <algorithm>

#include "base/median.h"
#include "base/units.h"

namespace pivotfix {

namespace {

// In a picture of usual size, and as much of a larger one's width: its pixels are smaller, not its blur
// larger.
constexpr double largest_blur_px = 2.0;
constexpr double usual_longest_side_px = 4000.0;
constexpr double smallest_contrast = 50.0;
constexpr double burnt_white = 252.0;

template <typename Member>
double middle_of(const std::vector<Sighting>& sightings, Member member) {
  std::vector<double> values;
  for (const Sighting& sighting : sightings) values.push_back(sighting.*member);
  return values.empty() ? 0.0 : median(values);
}

}  // namespace

PictureQuality picture_quality(const std::vector<Sighting>& sightings, int longest_side_px) {
  return {middle_of(sightings, &Sighting::blur_px), middle_of(sightings, &Sighting::contrast),
          middle_of(sightings, &Sighting::white), longest_side_px};
}

std::string picture_trouble(const PictureQuality& quality) {
  if (quality.white <= 0.0) return {};
  if (quality.blur_px > largest_blur_px * std::max(1.0, quality.longest_side_px / usual_longest_side_px))
    return "blurred by " + format_fixed(quality.blur_px, 1) + " px: hold still, or bring more light";
  if (quality.contrast < smallest_contrast)
    return "dark, black and white of the tags are only " + format_fixed(quality.contrast, 0) +
           " of 255 grey levels apart: bring more light";
  if (quality.white >= burnt_white) return "over-exposed, the paper is burnt out: expose for the tags";
  return {};
}

}  // namespace pivotfix
