// SPDX-License-Identifier: Apache-2.0
// Which sightings are no noise. Private to the network stage.
#pragma once

#include <vector>

#include "bundle/bundle.h"
#include "network/network.h"
#include "network/network_builder.h"

namespace pivotfix {

// Deviate of the standard normal distribution beyond which something is no noise: chance exceeds it less than
// once in a million.
inline constexpr double outlier_deviate = 4.9;

// How far the centre of an observed tag lies from its prediction.
double centre_miss_px(const Bundle& bundle, const BundleObservation& observation);

// What a lens that Brown's polynomial does not quite follow may do to a tag's centre: half a pixel in 3264,
// or four times what these photos miss by as a rule (`usual_miss_px`). Less than that proves no fault of a
// sighting; where many miss by so much, the noise factor tells.
double tolerated_miss_px(const StartedBundle& started, const BundleObservation& observation);

// Sets `usual_miss_px`, from the middle of all centres.
void note_usual_miss(StartedBundle& started);

// Factor by which residuals exceed their weights, from the middle of all sightings, which outliers do not
// move.
double found_noise_robust(const Bundle& bundle, const BundleCovariance& found);

// Rejects, where more than half of a photo's sightings are no noise, the worst such photo whole; else the
// sighting that fits worst in each photo and tag, if it is no noise. `noise_scale` is what the weights were
// made with: very quiet photos do not make the edge fits' own standard deviations, which allow for small
// model errors, any smaller here. Returns how many.
int reject_outliers(StartedBundle& started, const BundleCovariance& found, double noise_scale);

// By photo: whether it was rejected whole.
std::vector<bool> photos_at_odds(const StartedBundle& started);

// Takes back those that were rejected only because a worse one, now gone, had bent their tag or photo, and
// with them what had become loose: tidy up after it. Returns how many of the first kind.
int readmit_innocent(StartedBundle& started);

// Rejects sightings of tags in one photo only and photos with a single tag: they hold nothing together.
void drop_loose_ends(StartedBundle& started);

}  // namespace pivotfix
