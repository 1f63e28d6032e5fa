// SPDX-License-Identifier: Apache-2.0
// A calibrated lens as a text file: knowledge that a later job starts from, with its uncertainty.
//
// The text is YAML as OpenCV's cv::FileStorage writes and reads it. What OpenCV's own calibration writes:
//   image_width, image_height      of the picture, px
//   camera_matrix                  3 x 3: [fx 0 cx; 0 fy cy; 0 0 1], px
//   distortion_coefficients        k1 k2 p1 p2 k3
// Our additions, of which only the covariance with its order is required:
//   pivotfix_lens                  1, the version of this format
//   camera_make, camera_model, lens_model, focal_length_mm, focal_length_35mm_mm, digital_zoom
//                                  as CameraDescription has them
//   covariance_order, covariance   of the parameters, in the order of lens_covariance_order; zero rows: held
//   principal_point_spread_px, focal_length_spread
//                                  of single photos about the lens; the latter relative
//   photos, residual_px            that it rests on, and what they leave
#pragma once

#include <Eigen/Core>
#include <string>

#include "lens/lens.h"
#include "photos/photos.h"

namespace pivotfix {

using LensCovariance = Eigen::Matrix<double, lens_parameter_count, lens_parameter_count>;

struct LensFile {
  std::string name{};          // for messages
  CameraDescription camera{};  // whose lens it is; texts are empty where the photos did not say
  Lens lens{};
  LensCovariance covariance = LensCovariance::Zero();  // zero rows: held at its value
  PhotoShift spread{};  // standard deviation of single photos about the lens (stabiliser, autofocus)
  int photos = 0;
  double residual_px = 0.0;  // root mean square per axis
};

std::string lens_file_text(const LensFile& file);

// Throws Problem(input) with the line of what cannot be read or cannot be a lens: missing keys, numbers that
// are not finite, sizes that no camera has, distortion that folds the picture over, a covariance that is not
// symmetric and positive definite.
LensFile parse_lens_file(const std::string& text, const std::string& name);

// As what it knows of the same lens on another day: stabiliser and focus rest elsewhere than they did, by
// about as much as they moved from photo to photo (derived: a day is one more draw).
LensCovariance covariance_on_another_day(const LensFile& file);

}  // namespace pivotfix
