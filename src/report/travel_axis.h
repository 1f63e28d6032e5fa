// SPDX-License-Identifier: Apache-2.0
// The axes that curves over wheel travel have in common: travel upwards, as the wheel goes.
#pragma once

#include "report/svg.h"

namespace pivotfix::report {

// In view-box units; `top` is the smaller number.
struct Frame {
  double left = 0.0;
  double top = 0.0;
  double width = 1.0;
  double height = 1.0;
};

// Lines and numbers of the travel, in the unit; y of `world` is travel in millimetres.
void draw_travel_axis(Picture& picture, const Box& world, const Mapping& map, const Frame& frame,
                      LengthUnit unit);

// Lines and numbers of the angle below the frame, x of `world` is in degrees.
void draw_angle_axis(Picture& picture, const Box& world, const Mapping& map, const Frame& frame);

}  // namespace pivotfix::report
