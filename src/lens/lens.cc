// SPDX-License-Identifier: Apache-2.0
#include "lens/lens.h"

#include <Eigen/Geometry>
#include <Eigen/LU>
#include <cmath>

namespace pivotfix {

namespace {

// Distorted place of (x, y) and its Jacobian; the formulas are in the header.
struct Distorted {
  Eigen::Vector2d place;
  Eigen::Matrix2d jacobian;
};

Distorted distort(const Lens& lens, const Eigen::Vector2d& ideal) {
  const double x = ideal.x(), y = ideal.y(), r2 = ideal.squaredNorm();
  const double k1 = lens.values[lens_k1], k2 = lens.values[lens_k2], k3 = lens.values[lens_k3];
  const double p1 = lens.values[lens_p1], p2 = lens.values[lens_p2];
  const double radial = 1.0 + r2 * (k1 + r2 * (k2 + r2 * k3));
  const double radial_by_r2 = k1 + r2 * (2.0 * k2 + r2 * 3.0 * k3);
  Distorted result;
  result.place = {x * radial + 2.0 * p1 * x * y + p2 * (r2 + 2.0 * x * x),
                  y * radial + p1 * (r2 + 2.0 * y * y) + 2.0 * p2 * x * y};
  result.jacobian(0, 0) = radial + 2.0 * x * x * radial_by_r2 + 2.0 * p1 * y + 6.0 * p2 * x;
  result.jacobian(0, 1) = 2.0 * x * y * radial_by_r2 + 2.0 * p1 * x + 2.0 * p2 * y;
  result.jacobian(1, 0) = result.jacobian(0, 1);
  result.jacobian(1, 1) = radial + 2.0 * y * y * radial_by_r2 + 6.0 * p1 * y + 2.0 * p2 * x;
  return result;
}

// How a direction moves for each unit of the row's delay; the formulas are in the header.
struct Flow {
  Eigen::Vector2d speed;
  Eigen::Matrix2d by_ideal;
  Eigen::Matrix<double, 2, 3> by_turn;
};

Flow flow_at(const PhotoShift& shift, const Eigen::Vector2d& ideal) {
  const double x = ideal.x(), y = ideal.y();
  const Eigen::Vector3d turn(shift[shift_turn_x], shift[shift_turn_y], shift[shift_turn_z]);
  Flow flow;
  flow.by_turn << x * y, -(1.0 + x * x), y, 1.0 + y * y, -x * y, -x;
  flow.speed = flow.by_turn * turn;
  flow.by_ideal << turn.x() * y - 2.0 * turn.y() * x, turn.x() * x + turn.z(),  //
      -turn.y() * y - turn.z(), 2.0 * turn.x() * y - turn.y() * x;
  return flow;
}

bool is_still(const PhotoShift& shift) {
  return shift[shift_turn_x] == 0.0 && shift[shift_turn_y] == 0.0 && shift[shift_turn_z] == 0.0;
}

Eigen::Vector2d seen_by_lens(const Lens& lens, const PhotoShift& shift, const Eigen::Vector2d& ideal) {
  if (is_still(shift)) return ideal;
  return ideal + distort(lens, ideal).place.y() * flow_at(shift, ideal).speed;
}

// The inverse, with the row's delay as a start. Turns are thousandths: each round leaves a thousandth of the
// miss.
Eigen::Vector2d before_turning(const Lens& lens, const PhotoShift& shift, const Eigen::Vector2d& seen,
                               double delay) {
  if (is_still(shift)) return seen;
  Eigen::Vector2d ideal = seen - delay * flow_at(shift, seen).speed;
  for (int round = 0; round < 20; ++round) {
    const Eigen::Vector2d miss = seen - seen_by_lens(lens, shift, ideal);
    ideal += miss;
    if (miss.squaredNorm() < 1e-16) break;  // what is left is below 1e-11
  }
  return ideal;
}

// The distorted place by k1, k2, k3, p1, p2.
Eigen::Matrix<double, 2, 5> by_distortion(const Eigen::Vector2d& ideal) {
  const double x = ideal.x(), y = ideal.y(), r2 = ideal.squaredNorm();
  Eigen::Matrix<double, 2, 5> result;
  result.col(0) = r2 * ideal;
  result.col(1) = r2 * result.col(0);
  result.col(2) = r2 * result.col(1);
  result.col(3) << 2.0 * x * y, r2 + 2.0 * y * y;
  result.col(4) << r2 + 2.0 * x * x, 2.0 * x * y;
  return result;
}

// From the centre outwards the distortion is one-to-one until its Jacobian's determinant turns negative;
// damped steps keep Newton on that branch. Empty where no direction belongs to the place.
std::optional<Eigen::Vector2d> undistorted(const Lens& lens, const Eigen::Vector2d& wanted) {
  Eigen::Vector2d ideal = wanted;
  for (int iteration = 0; iteration < 30; ++iteration) {
    const Distorted now = distort(lens, ideal);
    const Eigen::Vector2d miss = wanted - now.place;
    if (miss.squaredNorm() < 1e-26) return ideal;
    if (now.jacobian.determinant() <= 1e-3) {
      ideal *= 0.8;
      continue;
    }
    const Eigen::Vector2d step = now.jacobian.inverse() * miss;
    const double longest = 0.5 * (0.1 + ideal.norm());
    ideal += step.norm() > longest ? Eigen::Vector2d(step * (longest / step.norm())) : step;
    // Newton squares the error: what is left after so small a step is below rounding.
    if (step.squaredNorm() < 1e-17) return ideal;
  }
  if ((wanted - distort(lens, ideal).place).norm() < 1e-9) return ideal;
  return std::nullopt;
}

double focal_px_of(const Lens& lens, const PhotoShift& shift) {
  return lens.values[lens_focal_px] * (1.0 + shift[shift_focal]);
}

}  // namespace

std::string_view name_of(LensParameter parameter) {
  constexpr std::array<std::string_view, lens_parameter_count> names{
      "focal length", "aspect", "principal point x", "principal point y", "k1", "k2", "k3", "p1", "p2"};
  return names.at(parameter);
}

Eigen::Vector2d pixel_from_direction(const Lens& lens, const PhotoShift& shift,
                                     const Eigen::Vector3d& direction) {
  const Eigen::Vector2d place = distort(lens, seen_by_lens(lens, shift, direction.hnormalized())).place;
  const double focal_px = focal_px_of(lens, shift);
  return {focal_px * place.x() + lens.values[lens_principal_x_px] + shift[shift_principal_x_px],
          focal_px * lens.values[lens_aspect] * place.y() + lens.values[lens_principal_y_px] +
              shift[shift_principal_y_px]};
}

PixelDerivatives pixel_derivatives(const Lens& lens, const PhotoShift& shift,
                                   const Eigen::Vector3d& direction) {
  const Eigen::Vector2d ideal = direction.hnormalized();
  const Distorted still = distort(lens, ideal);
  const double delay = still.place.y();
  const Flow flow = flow_at(shift, ideal);
  const Eigen::Vector2d seen = ideal + delay * flow.speed;
  const Distorted distorted = distort(lens, seen);
  const double column_scale = focal_px_of(lens, shift);
  const Eigen::Vector2d scale{column_scale, column_scale * lens.values[lens_aspect]};
  const Eigen::Vector2d scaled = scale.cwiseProduct(distorted.place);
  const Eigen::Matrix2d by_seen = scale.asDiagonal() * distorted.jacobian;
  const Eigen::Vector2d by_delay = by_seen * flow.speed;
  PixelDerivatives result;
  result.pixel = {scaled.x() + lens.values[lens_principal_x_px] + shift[shift_principal_x_px],
                  scaled.y() + lens.values[lens_principal_y_px] + shift[shift_principal_y_px]};
  Eigen::Matrix<double, 2, 3> ideal_by_direction;
  ideal_by_direction << 1.0, 0.0, -ideal.x(), 0.0, 1.0, -ideal.y();
  const Eigen::Matrix2d by_ideal =
      by_seen + delay * by_seen * flow.by_ideal + by_delay * still.jacobian.row(1);
  result.by_direction = by_ideal * ideal_by_direction / direction.z();
  result.by_shift.col(shift_principal_x_px) << 1.0, 0.0;
  result.by_shift.col(shift_principal_y_px) << 0.0, 1.0;
  result.by_shift.col(shift_focal) = scaled / (1.0 + shift[shift_focal]);
  result.by_shift.middleCols<3>(shift_turn_x) = delay * by_seen * flow.by_turn;
  result.by_lens.col(lens_focal_px) = scaled / lens.values[lens_focal_px];
  result.by_lens.col(lens_aspect) << 0.0, scaled.y() / lens.values[lens_aspect];
  result.by_lens.col(lens_principal_x_px) << 1.0, 0.0;
  result.by_lens.col(lens_principal_y_px) << 0.0, 1.0;
  result.by_lens.middleCols<5>(lens_k1) =
      scale.asDiagonal() * by_distortion(seen) + by_delay * by_distortion(ideal).row(1);
  return result;
}

std::optional<Eigen::Vector2d> direction_from_pixel(const Lens& lens, const PhotoShift& shift,
                                                    const Eigen::Vector2d& pixel) {
  const double focal_px = focal_px_of(lens, shift);
  const Eigen::Vector2d wanted{
      (pixel.x() - lens.values[lens_principal_x_px] - shift[shift_principal_x_px]) / focal_px,
      (pixel.y() - lens.values[lens_principal_y_px] - shift[shift_principal_y_px]) /
          (focal_px * lens.values[lens_aspect])};
  const auto seen = undistorted(lens, wanted);
  if (!seen) return std::nullopt;
  return before_turning(lens, shift, *seen, wanted.y());
}

}  // namespace pivotfix
