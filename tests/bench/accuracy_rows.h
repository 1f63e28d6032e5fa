// SPDX-License-Identifier: Apache-2.0
// What a photo set's network is worth against its truth: the figures of the accuracy table.
#pragma once

#include "network/network.h"
#include "render/corner_scene.h"

namespace pivotfix::bench {

// Sums over sightings of errors in the picture, px; without any the errors are infinite.
struct PictureErrors {
  double squares = 0.0, sum_x = 0.0, sum_y = 0.0;
  int coordinates = 0;

  double rms_px() const;
  double mean_px() const;  // length of the mean error
};

struct Recall {
  int wanted = 0, found = 0;
  int wrong_numbers = 0;  // sightings that no tag of the scene explains
  int misplaced = 0;      // of half-hidden tags, by more than 2 px: for the network to reject
};

struct SpaceErrors {
  double centre_rms_mm = 0.0;  // 3-D, after the best rigid fit (no scale) over all tags in 4 photos or more
  double hardpoint_rms_mm = 0.0;  // of points 20 to 45 mm behind these tags, same fit
  double largest_length_mm = 0.0;
  double normalised_square = 0.0;  // mean, of the centres by their stated covariance
  int tags = 0;
};

PictureErrors centre_errors(const render::PhotoSet& set);
PictureErrors corner_errors(const render::PhotoSet& set);
// Of tags with a shortest side of 20 px or more, tilt under 65 degrees, unhidden with a cell of white around.
Recall recall(const render::PhotoSet& set);
SpaceErrors space_errors(const render::PhotoSet& set, const Network& network);

}  // namespace pivotfix::bench
