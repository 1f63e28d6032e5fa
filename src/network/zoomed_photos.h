// SPDX-License-Identifier: Apache-2.0
// Photos that were zoomed without saying so. Private to the network stage.
#pragma once

#include <vector>

#include "network/network_builder.h"
#include "network/start.h"

namespace pivotfix {

// Gives photos whose tags fit the others' network only under another focal length a lens of their own, and
// their poses in `poses` under it. Returns their numbers, by index into the input.
std::vector<int> set_zoomed_photos_apart(StartedBundle& started, StartPoses& poses);

}  // namespace pivotfix
