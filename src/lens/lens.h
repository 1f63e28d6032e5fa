// SPDX-License-Identifier: Apache-2.0
// How one camera bends light: central projection with Brown's distortion.
//
// Camera frame: x to the right, y downwards in the stored picture, z along the view. With x = X/Z, y = Y/Z
// and r2 = x*x + y*y (Brown, "Close-Range Camera Calibration", Photogrammetric Engineering 37(8), 1971):
//   radial = 1 + k1 r2 + k2 r2^2 + k3 r2^3
//   x_distorted = x radial + 2 p1 x y + p2 (r2 + 2 x x)
//   y_distorted = y radial + p1 (r2 + 2 y y) + 2 p2 x y
//   column_px = focal_px x_distorted + principal_x_px
//   row_px    = focal_px aspect y_distorted + principal_y_px
// The order of p1 and p2 is OpenCV's. Pixel (0, 0) is the centre of the first stored pixel.
#pragma once

#include <Eigen/Core>
#include <array>
#include <optional>
#include <string_view>

namespace pivotfix {

// Parameter order of `Lens::values` and of every covariance of a lens.
enum LensParameter : int {
  lens_focal_px,
  lens_aspect,
  lens_principal_x_px,
  lens_principal_y_px,
  lens_k1,
  lens_k2,
  lens_k3,
  lens_p1,
  lens_p2,
  lens_parameter_count
};
std::string_view name_of(LensParameter parameter);

struct Lens {
  std::array<double, lens_parameter_count> values{0, 1, 0, 0, 0, 0, 0, 0, 0};

  double focal_px() const { return values[lens_focal_px]; }
};

// What a single photo differs from its lens: stabiliser (principal point), autofocus (focal length), and the
// camera's turn while its rows are read one after the other (rolling shutter). With the turn w, by which the
// camera turns (rad, about its own axes) while rows are read that are one focal length apart, and the row's
// delay t, the distorted y of the direction (x, y, 1), the lens sees the direction turned back by t w:
//   x + t (w_z y - w_y (1 + x^2) + w_x x y)
//   y + t (w_x (1 + y^2) - w_z x - w_y x y)
// (Constant speed while a photo is read: Hedborg, Forssen, Felsberg and Ringaby, "Rolling Shutter Bundle
// Adjustment", CVPR 2012, from memory; here to first order.) A step aside does nearly the same as a turn. So
// does reading by columns, but for a turn about the view and a focal length, which are unknowns anyway.
enum PhotoShiftPart : int {
  shift_principal_x_px,
  shift_principal_y_px,
  shift_focal,  // relative change
  shift_turn_x,
  shift_turn_y,
  shift_turn_z,
  photo_shift_count
};
using PhotoShift = std::array<double, photo_shift_count>;

// Distorted picture place of a direction, which has z > 0.
Eigen::Vector2d pixel_from_direction(const Lens& lens, const PhotoShift& shift,
                                     const Eigen::Vector3d& direction);

// The same with its derivatives (of the formulas above).
struct PixelDerivatives {
  Eigen::Vector2d pixel{};
  Eigen::Matrix<double, 2, 3> by_direction{};
  Eigen::Matrix<double, 2, photo_shift_count> by_shift{};
  Eigen::Matrix<double, 2, lens_parameter_count> by_lens{};
};
PixelDerivatives pixel_derivatives(const Lens& lens, const PhotoShift& shift,
                                   const Eigen::Vector3d& direction);

// The inverse by Newton's method: (x, y) with direction (x, y, 1). Empty where the distortion folds back and
// no direction belongs to the pixel.
std::optional<Eigen::Vector2d> direction_from_pixel(const Lens& lens, const PhotoShift& shift,
                                                    const Eigen::Vector2d& pixel);

}  // namespace pivotfix
