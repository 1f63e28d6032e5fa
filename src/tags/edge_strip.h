// SPDX-License-Identifier: Apache-2.0
// The pixels along one border edge of a tag and what lies next to it. Private.
#pragma once

#include <array>
#include <limits>
#include <span>
#include <vector>

#include "tags/plane_geometry.h"

namespace pivotfix {

// Where an edge is expected, in its own coordinates: `along` from corner k towards corner k + 1, `across`
// outward from the tag.
struct EdgeFrame {
  Eigen::Vector2d start_px = Eigen::Vector2d::Zero();
  Eigen::Vector2d along = Eigen::Vector2d::UnitX();
  Eigen::Vector2d outward = Eigen::Vector2d::UnitY();
  double length_px = 0.0;
  // At the nine ends of the cells along the edge:
  std::array<double, tag_cells + 1> inner_along_px{};  // place of the cell ends one cell inside
  std::array<double, tag_cells + 1> inner_width_px{};  // width of the black border there
  std::array<double, tag_cells + 1> outer_width_px{};  // width of one cell of paper there
  std::array<double, tag_cells + 1> end_along_px{};    // place of the cell ends on the edge
  std::array<bool, tag_cells> inner_cell_white{};      // the cell one inside the border

  double inner_width_at(double along_px) const { return interpolate(inner_width_px, along_px); }
  double outer_width_at(double along_px) const { return interpolate(outer_width_px, along_px); }
  // Share of white in the row of cells one inside the border, blurred along the edge.
  double inner_white_at(double along_px, double blur_px) const;

 private:
  double interpolate(const std::array<double, tag_cells + 1>& values, double along_px) const;
};

std::array<EdgeFrame, 4> edge_frames(const TagCorners& corner_px, int tag_number);

// What light a grey value stands for, 0 to 1. Blur mixes light, not coded values: edges sought in coded
// values lie up to half a pixel inside the black.
using LightTable = std::array<float, 256>;
// Through the inverse of the sRGB curve (IEC 61966-2-1), or in proportion.
const LightTable& light_table(bool tone_curve);

// A short piece of an edge.
struct EdgeBin {
  double along_px = 0.0;  // mean of its pixels
  double inner_width_px = 0.0;
  double inner_white = 0.0;
  double inner_reach_px = 0.0;  // no pixel lies deeper
  std::size_t first_pixel = 0;
  std::size_t pixel_count = 0;
};

// Bin after bin, each with room for whole groups of pixels; single precision is a ten-thousandth of a pixel's
// noise.
struct EdgeStrip {
  static constexpr std::size_t group = 4;  // pixels that are taken at once

  std::vector<EdgeBin> bins{};
  std::vector<float> across_px{};
  std::vector<float> light{};  // 0 black, 1 white
};

struct StripWish {
  double blur_px = 1.0;
  double reach_px = 4.0;  // pixels farther from the edge are left out, as are those nearer to the next edge
  double outer_reach_px = std::numeric_limits<double>::infinity();  // the same, outside the tag only
  bool coarse = false;                                              // for a long edge only some bins
};

EdgeStrip collect_strip(const GreyPicture& picture, const EdgeFrame& frame, const StripWish& wish,
                        const LightTable& light_of_grey);

}  // namespace pivotfix
