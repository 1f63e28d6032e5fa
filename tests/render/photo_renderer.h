// SPDX-License-Identifier: Apache-2.0
// Renders whole photographs of printed tags, megapixels in about a second, for tests and benches.
//
// Shares with the program only the tag's pattern (checked elsewhere against OpenCV) and the struct that holds
// a lens; the projection is written out anew. Light is gathered in linear units on a grid twice as fine as
// the pixels, blurred there (a narrow blur on the pixel grid itself would move edges), and then goes through
// what a phone does to it: exposure, tone curve, noise, sharpening, 8 bits, JPEG.
#pragma once

#include <Eigen/Core>
#include <random>
#include <vector>

#include "base/rigid_transform.h"
#include "lens/lens.h"
#include "photos/photos.h"
#include "tags/tags.h"

namespace pivotfix::render {

// A tag on a square of white paper.
struct PaperTag {
  int number = 0;
  RigidTransform world_from_tag{};
  double side_mm = 40.0;
  double margin_cells = 2.0;  // of white around the border
};

struct Shot {
  RigidTransform camera_from_world{};
  Lens lens{};  // the photo's own shift already in its values
  int width_px = 4032;
  int height_px = 3024;
};

struct Film {
  double blur_px = 0.7;     // Gaussian, in linear light
  double exposure = 1.0;    // 1: white paper square to the light comes near full white
  double noise_grey = 2.0;  // of 255, after the tone curve
  bool tone_curve = true;   // sRGB (IEC 61966-2-1)
  double sharpening = 0.5;  // unsharp masking, radius 1 px, after the tone curve
  int jpeg_quality = 92;    // 0: none
};

// Place in the picture; z ahead of the camera must be positive.
Eigen::Vector2d picture_of(const Shot& shot, const Eigen::Vector3d& point_world_mm);

// Camera at `place_mm` looking at `aim_mm`, rolled about its view.
RigidTransform look_at(const Eigen::Vector3d& place_mm, const Eigen::Vector3d& aim_mm, double roll_rad);

// How well one tag can be seen: for tables that count only tags of a certain size, tilt and freedom.
struct Visibility {
  bool whole = false;  // with its border inside the picture, in front, and not turned away
  double shortest_side_px = 0.0;
  double tilt_rad = 0.0;  // between the face's normal and the direction to the camera
  bool hidden = false;    // another tag's paper covers part of it or of one cell of white around it
};
std::vector<Visibility> visibility(const std::vector<PaperTag>& tags, const Shot& shot);

// The background is a jumble of shapes drawn by `random`, or a patchwork of the pictures in `behind`,
// different in every photo.
GreyPicture render_photo(const std::vector<PaperTag>& tags, const Shot& shot, const Film& film,
                         std::mt19937_64& random, const std::vector<GreyPicture>& behind = {});

}  // namespace pivotfix::render
