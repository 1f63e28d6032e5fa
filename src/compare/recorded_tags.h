// SPDX-License-Identifier: Apache-2.0
// A set with body tags, brought to its recorded ride height. Private to the compare stage and its tests.
#pragma once

#include <string>

#include "hardpoints/hardpoint_set.h"

namespace pivotfix {

struct StandingSet {
  HardpointSet hardpoints{};
  std::string words{};  // what was done, for people; empty: nothing
};

// As at_recorded_height (advice/recorded_height.h), and the body tags stay with the body: heights count from
// the ground, so they rise with it, and what the height's error does to pivots and tags is in their
// covariance.
StandingSet standing_as_recorded(const HardpointSet& set);

}  // namespace pivotfix
