// SPDX-License-Identifier: Apache-2.0
// A lens from photos of one flat board of known points: the same adjustment as of a network, with one target.
#pragma once

#include <string>
#include <vector>

#include "base/rigid_transform.h"
#include "lens/lens_file.h"
#include "photos/photos.h"
#include "tags/tags.h"

namespace pivotfix {

// What one photo shows of the board; points in its plane (z = 0), in the same order in both lists.
struct BoardView {
  std::string photo{};
  CameraDescription camera{};
  std::vector<Eigen::Vector3d> points_board_mm{};
  std::vector<Eigen::Vector2d> points_px{};
  // Of a grid of tags, whose centres the points are, in the same order: with a lens the centres are found
  // better. Empty for other boards.
  std::vector<Sighting> sightings{};
};

struct CalibratedView {
  std::string photo{};
  bool used = false;
  std::string why_not{};
  RigidTransform camera_from_board{};
  double rms_px = 0.0;              // per axis
  std::size_t points_left_out = 0;  // single ones, which miss by far more than the others
};

struct LensCalibration {
  LensFile file{};  // its covariance widened where odd and even photos disagree
  std::vector<CalibratedView> views{};
  double odd_even_ratio = 1.0;       // actual over predicted difference of the lens; 1 with too few photos
  double covered = 0.0;              // share of the picture's cells that show a point
  double largest_tilt_rad = 0.0;     // of the board against the picture
  double middle_sigma_px = 0.0;      // of where the lens puts a ray: root mean square over the picture
  double worst_sigma_px = 0.0;       // largest, in a corner as a rule
  std::vector<std::string> lacks{};  // what to photograph for a better one; empty: good enough for this job
};

// `lens_moves`: stabiliser and autofocus set the lens a little elsewhere in each photo. A flat board tells
// such shifts poorly from its own tilt and bend, so they are only looked for where they are known to be
// there. A photo under a second name counts once; such are the last of the result's views. Throws
// Problem(refused) with fewer than three views that fit, or photos from different lenses.
LensCalibration calibrate_lens(const std::vector<BoardView>& views, bool lens_moves = false);

}  // namespace pivotfix
