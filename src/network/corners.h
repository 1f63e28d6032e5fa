// SPDX-License-Identifier: Apache-2.0
// From edge points to corners with their covariance, knowing the lens. Private to the network stage.
//
// A tag's edges are straight on paper and bent in the picture by the lens. The edge points are straightened
// first, lines are fitted there, their intersections bent back: so a wide tag near the picture's border gives
// unbiased corners.
//
// The camera's tone curve, sharpening, defocus and spread ink move all four edges outwards alike, by up to a
// pixel. That common move is an unknown of each sighting: the covariance gets it as a wide mode, and what
// remains sharp is the tag's centre and its edges' directions. On a tilted tag the cells across two of the
// edges are foreshortened and blur more, so that the two pairs of opposite edges move by somewhat different
// amounts: a second such mode. Paper that is overexposed, and more so on the brighter side, moves that side's
// edge further than the opposite one: two more modes, right against left and top against bottom, where the
// paper is as bright as that.
#pragma once

#include <Eigen/Core>
#include <optional>

#include "lens/lens.h"
#include "tags/tags.h"

namespace pivotfix {

struct MeasuredCorners {
  TagCorners corner_px{};
  Eigen::Matrix<double, 8, 8> covariance_px2 = Eigen::Matrix<double, 8, 8>::Identity();
};

struct EdgeNoise {
  double smallest_px = 0.02;     // of one edge point: below that a fit residual is luck
  double line_px = 0.004;        // of a whole line's offset: what more edge points do not average away
  double common_shift_px = 1.0;  // of all four edges outwards
  double pair_shift_px = 0.10;   // of one pair of opposite edges outwards, the other inwards
  double slant_shift_px = 0.15;  // of one side's corners outwards, the others inwards, on overexposed paper
  double clipped_from_grey = 235.0;  // of paper whose brighter side may reach 255
};

// `shift` is the photo's own. Empty when an edge has too few points, the lines do not make a quadrilateral,
// or the lens cannot have made the picture.
std::optional<MeasuredCorners> measure_corners(const Sighting& sighting, const Lens& lens,
                                               const PhotoShift& shift, const EdgeNoise& noise = {});

// The tag's centre alone, where the straightened diagonals cross: what moves all edges alike leaves it in
// place. Empty as above.
std::optional<Eigen::Vector2d> measure_centre(const Sighting& sighting, const Lens& lens,
                                              const PhotoShift& shift);

// W with W' W = inverse(covariance): rows of whitened residuals.
Eigen::MatrixXd square_root_information(const Eigen::MatrixXd& covariance);

}  // namespace pivotfix
