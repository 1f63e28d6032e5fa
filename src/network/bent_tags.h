// SPDX-License-Identifier: Apache-2.0
// Tags that are stuck on something round, or stand off. Private to the network stage.
#pragma once

#include "network/network_builder.h"

namespace pivotfix {

// How far a tag's edges bow, as a share of its side: of each sighting the most bowed edge, the middle of the
// sightings. The lens has no part in it. Zero for less than what waves of the paper and the fit make up.
double bow_of_tag(const StartedBundle& started, std::size_t target);

}  // namespace pivotfix
