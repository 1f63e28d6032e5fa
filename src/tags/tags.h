// SPDX-License-Identifier: Apache-2.0
// A grey picture becomes sightings: which AprilTag 36h11 tags are in it and where, to a hundredth of a pixel.
//
// Tag frame: origin in the tag's centre, x to the right and y up for a reader of the printed number, z out
// of the paper towards the reader. The tag's side is the outer edge of its black border.
#pragma once

#include <Eigen/Core>
#include <array>
#include <vector>

#include "photos/photos.h"

namespace pivotfix {

inline constexpr int tag_family_size = 587;  // AprilTag 36h11 has numbers 0..586
inline constexpr int tag_cells = 8;          // cells along a side, border included

// Corner order everywhere: bottom left, bottom right, top right, top left, as the reader sees the tag.
// Edge k runs from corner k to corner (k + 1) % 4.
using TagCorners = std::array<Eigen::Vector2d, 4>;

// In the tag's frame, in that order.
inline std::array<Eigen::Vector3d, 4> tag_corners_mm(double side_mm) {
  const double half_mm = 0.5 * side_mm;
  return {Eigen::Vector3d{-half_mm, -half_mm, 0.0},
          {half_mm, -half_mm, 0.0},
          {half_mm, half_mm, 0.0},
          {-half_mm, half_mm, 0.0}};
}

// A sub-pixel point on one border edge, located along a profile across that edge.
struct EdgePoint {
  Eigen::Vector2d point_px;
};

struct Sighting {
  int tag_number = -1;
  TagCorners corner_px{};     // intersections of the fitted edge lines
  Eigen::Vector2d centre_px;  // intersection of the diagonals
  // The edge points that the lines rest on, kept so that a later stage, knowing the lens, can fit again.
  std::array<std::vector<EdgePoint>, 4> edge_points{};
  // Root mean square distance of the edge points, across, from gently curved lines (lens distortion bends the
  // edges). A centre scatters by about edge_noise_px * sqrt(2 / points of an edge).
  double edge_noise_px = 0.0;
  // Standard uncertainty, across, that each edge has beside that: its white rim is narrow. 0 where it is not.
  std::array<double, 4> rim_doubt_px{};
  double blur_px = 0.0;   // standard deviation of the edges' blur, without the pixel's own area
  double contrast = 0.0;  // white minus black, grey levels
  double white = 0.0;     // grey level of the paper
  int wrong_cells = 0;    // code cells that differ from the tag's pattern
};

struct TagSearchOptions {
  int most_wrong_cells = 2;      // of 36; the family's smallest distance is 11
  double smallest_side_px = 16;  // shorter tags are not looked for
  // Grey values are sRGB-coded, as cameras write them; false: proportional to light. With the right one
  // corners are true as well, with the wrong one only centres are.
  bool tone_curve = true;
};

// Sightings ordered by tag number, then by place; a number seen twice in one picture is returned twice.
std::vector<Sighting> find_tags(const GreyPicture& picture, const TagSearchOptions& options = {});

// Cells of a tag as printed: [row from the top][column from the left], true is black, border included.
std::array<std::array<bool, tag_cells>, tag_cells> tag_pattern(int tag_number);

}  // namespace pivotfix
