// SPDX-License-Identifier: Apache-2.0
// Made-up photo sets of a made-up front corner: 45 tags on floor, body and parts within about 1.0 x 0.8 x
// 0.6 m, photographed by a walk round it; searched for tags as they are rendered, so that no picture is kept.
#pragma once

#include <string>
#include <vector>

#include "network/network.h"
#include "render/photo_renderer.h"

namespace pivotfix::render {

struct PhotoSetWish {
  unsigned seed = 1;
  int photos = 32;
  int width_px = 4032;
  int height_px = 3024;
  double principal_shift_px = 0.0;  // stabiliser, standard deviation per photo and axis
  double focal_change = 0.0;        // autofocus, relative standard deviation per photo
  Film film{};
  double most_blur_px = 0.0;     // above film.blur_px: each photo's blur lies between the two
  double exposure_spread = 0.0;  // each photo's exposure is multiplied by 2^(+/- up to this)
};

struct PhotoSet {
  std::vector<PaperTag> tags{};
  std::vector<Shot> shots{};
  NetworkInput input{};
};

// Tag numbers 0 to 44; the scale strips of `input` join tags 0-1 and 2-3 and are exact to 5 micrometres.
std::vector<PaperTag> corner_tags(unsigned seed);

PhotoSet photograph_corner(const PhotoSetWish& wish);

// Sightings in photos that show clutter and no tag: all of them are mistakes.
std::vector<Sighting> sightings_in_clutter(const PhotoSetWish& wish);

}  // namespace pivotfix::render
