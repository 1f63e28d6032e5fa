// SPDX-License-Identifier: Apache-2.0
// What curves and tables over wheel travel have in common. Travel goes upwards, as the wheel does.
#pragma once

#include <string>
#include <vector>

#include "base/units.h"
#include "page/svg.h"

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

// Travels that are worth a row, bump first: round ones, whole inches, ride height and both ends.
std::vector<double> tabled_travel_mm(double lowest_mm, double highest_mm, LengthUnit unit);

std::string travel_text(double travel_mm, LengthUnit unit);

}  // namespace pivotfix::report
