// SPDX-License-Identifier: Apache-2.0
// What a floor that is not true to the car does to the angles of the front view. The vehicle axes stand on
// the plane through the floor tags; where that plane is tilted against the one that the four tyres stand on,
// all pivots are turned with it.
#pragma once

#include "corner/corner.h"

namespace pivotfix {

// Derivative of each angle by the slope (rad/rad), from those by all coordinates [derived].
struct SlopeEffect {
  double arm_angle = 0.0;
  double link_angle = 0.0;
  double mismatch = 0.0;
  double effective_mismatch = 0.0;
};
struct FloorSlope {
  SlopeEffect sideways{};    // the floor rises to the left
  SlopeEffect lengthwise{};  // the floor rises to the front
};
FloorSlope floor_slope(const Corner& corner);

}  // namespace pivotfix
