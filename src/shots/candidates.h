// SPDX-License-Identifier: Apache-2.0
// Places where one could stand, and what a photo from there would show. Private to the stage.
#pragma once

#include <vector>

#include "shots/shots.h"

namespace pivotfix {

struct Candidate {
  Shot shot{};
  PlannedPhoto photo{};
};

// All places worth trying, with the tags that they would show; those with fewer than three are left out.
std::vector<Candidate> candidate_shots(const ShotQuestion& question);

}  // namespace pivotfix
