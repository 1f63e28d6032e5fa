// SPDX-License-Identifier: Apache-2.0
// Draws tags into a picture: own code of the tests, which shares nothing with the search but the tag's
// pattern (checked elsewhere against OpenCV).
//
// Every cell is a projected square whose share of each pixel is computed exactly by clipping polygons, in
// linear light; then come blur, noise, tone curve, sharpening and JPEG, in the order of a camera.
#pragma once

#include <Eigen/Core>
#include <array>
#include <random>
#include <vector>

#include "photos/photos.h"
#include "tags/tags.h"

namespace pivotfix::test {

// Takes tag coordinates in cells (origin in the centre, x right, y up, border edge at +-4) to the picture.
struct TagPose {
  Eigen::Matrix3d picture_from_tag = Eigen::Matrix3d::Identity();

  Eigen::Vector2d at(double x, double y) const;
  Eigen::Vector2d centre() const { return at(0.0, 0.0); }
  TagCorners corners() const;
};

// A camera with focal length `focal_px`; `side_px` is the side's length if it were square on. The tag is
// turned by `roll`, then tilted by `tilt` about an axis in the picture at angle `tilt_axis`.
struct PoseNumbers {
  Eigen::Vector2d centre_px = Eigen::Vector2d::Zero();
  double side_px = 100.0;
  double tilt_rad = 0.0;
  double tilt_axis_rad = 0.0;
  double roll_rad = 0.0;
  double focal_px = 3000.0;
};
TagPose make_pose(const PoseNumbers& numbers);

struct Camera {
  double blur_px = 0.7;     // Gaussian, in linear light
  double noise_grey = 2.0;  // of 255, after the tone curve
  bool tone_curve = false;  // sRGB
  double sharpening = 0.0;  // amount of unsharp masking, radius 1 px, after the tone curve
  int jpeg_quality = 0;     // 0: no JPEG
};

class TagScene {
 public:
  // Light values: 0 black, 1 white.
  TagScene(int width_px, int height_px, double ground);

  // With a square of white paper `margin_cells` wider than the tag on each side.
  void draw_tag(int tag_number, const TagPose& pose, double margin_cells, double black = 0.04,
                double white = 0.80);
  // Over what is there.
  void draw_disc(const Eigen::Vector2d& centre_px, double radius_px, double light);
  void draw_rectangle(const Eigen::Vector2d& low_px, const Eigen::Vector2d& high_px, double light);
  void draw_quad(const std::array<Eigen::Vector2d, 4>& corner_px, double light);
  // Brightness falls linearly from left to right to `right_share`.
  void shade(double right_share);

  GreyPicture shoot(const Camera& camera, std::mt19937_64& random) const;

 private:
  using Polygon = std::vector<Eigen::Vector2d>;
  // Blur must act before the pixels gather the light: on the pixel grid itself a narrow blur is a comb, whose
  // edges wander by 0.03 px with their place in the pixel.
  static constexpr int finer = 2;
  static Polygon on_fine_grid(const Polygon& polygon);
  int fine_width() const { return finer * width_px_; }
  int fine_height() const { return finer * height_px_; }
  void add_polygon(const Polygon& polygon, double light_difference);
  void cover_polygon(const Polygon& polygon, double light);

  int width_px_;
  int height_px_;
  std::vector<double> light_;  // on a grid `finer` times as fine
};

}  // namespace pivotfix::test
