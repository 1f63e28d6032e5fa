// SPDX-License-Identifier: Apache-2.0
// Tags that stood in two places. Private to the network stage.
#pragma once

#include "network/network_builder.h"

namespace pivotfix {

// A tag that was moved between photos is first placed between its places, and loses sightings of both. Each
// tag that lost two or more is placed anew where most of all its sightings meet, if that is somewhere else:
// those that do take part, the others are rejected. Returns how many tags were.
int place_where_most_meet(StartedBundle& started);

}  // namespace pivotfix
