// SPDX-License-Identifier: Apache-2.0
// What the answer hangs on, and why it is weak. Private to the stage.
#pragma once

#include <string>
#include <vector>

#include "shots/shots.h"

namespace pivotfix {

// Index of the hardpoint with the largest uncertainty.
std::size_t weakest_point(const HardpointSet& set);

std::vector<std::string> weak_places(const ShotQuestion& question);

}  // namespace pivotfix
