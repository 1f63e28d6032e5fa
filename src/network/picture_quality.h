// SPDX-License-Identifier: Apache-2.0
// How sharp a photo is and how it is exposed, judged by its tags alone: their edges and their paper.
#pragma once

#include <string>
#include <vector>

#include "tags/tags.h"

namespace pivotfix {

// Medians over the photo's tags; zero where it shows none.
struct PictureQuality {
  double blur_px = 0.0;     // standard deviation of the edges' blur
  double contrast = 0.0;    // paper minus ink, grey levels of 255
  double white = 0.0;       // grey level of the paper
  int longest_side_px = 0;  // of the picture; zero: not known
};

PictureQuality picture_quality(const std::vector<Sighting>& sightings, int longest_side_px);

// What to do better next time, in workshop words; empty when the photo is fine. Limits are common practice.
// None of this makes a photo useless: its sightings' own uncertainties say how much it counts.
std::string picture_trouble(const PictureQuality& quality);

}  // namespace pivotfix
