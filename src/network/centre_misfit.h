// SPDX-License-Identifier: Apache-2.0
// Whether the tags' centres miss by more than the noise of edges explains: then the pictures are bent, by a
// lens that Brown's polynomial does not follow, by what the phone makes of its pictures, or by a camera that
// moved while its rows were read. Private to the network stage.
#pragma once

#include "bundle/bundle.h"
#include "network/network_builder.h"

namespace pivotfix {

// Squared misses of the tags' centres over their expectation, from the weights and the share that the
// unknowns take up; one where only edges are noisy, and so with the weights scaled to what all residuals
// show. Three quarters of a sighting's numbers say what form a tag has, which a bend of the picture hardly
// changes: it moves whole tags. Tags that lost sightings to their misfit are not counted: they may have moved
// by themselves. `found` is the covariance of the bundle as it is.
double centre_misfit(const StartedBundle& started, const BundleCovariance& found);

// Standard deviations grow by this factor for a misfit of the centres, one or more. Bends are smooth:
// neighbouring tags of a photo err alike, and count as fewer (design effect of a cluster sample: Kish,
// "Survey Sampling", 1965, from memory).
double widened_for_bent_pictures(double centre_misfit);

}  // namespace pivotfix
