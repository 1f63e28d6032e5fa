// SPDX-License-Identifier: Apache-2.0
// The four border edges of a known tag, to a hundredth of a pixel. Private.
//
// Each edge is cut into short bins. In each bin the pixels across the edge are fitted by a blurred step
// (derived: a Gaussian blur makes a straight edge an error function of the distance from it); the white
// code cells just inside the border, which are known from the tag's number, are part of the model. A line
// through the bins' places, robust against dust and fingers, is the edge.
#pragma once

#include <optional>

#include "tags/plane_geometry.h"

namespace pivotfix {

struct FittedEdges {
  TagCorners corner_px{};
  std::array<std::vector<EdgePoint>, 4> edge_points{};
  double edge_noise_px = 0.0;
  std::array<double, 4> rim_doubt_px{};
  double blur_px = 0.0;
};

// `corner_px` in the order of TagCorners, good to about a pixel. Empty when an edge is covered for most of
// its length, or the edges do not settle near where they were expected.
std::optional<FittedEdges> fit_edges(const GreyPicture& picture, const TagCorners& corner_px, int tag_number,
                                     bool tone_curve);

}  // namespace pivotfix
