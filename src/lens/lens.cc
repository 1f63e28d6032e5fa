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

}  // namespace

std::string_view name_of(LensParameter parameter) {
  constexpr std::array<std::string_view, lens_parameter_count> names{
      "focal length", "aspect", "principal point x", "principal point y", "k1", "k2", "k3", "p1", "p2"};
  return names.at(parameter);
}

Eigen::Vector2d pixel_from_direction(const Lens& lens, const PhotoShift& shift,
                                     const Eigen::Vector3d& direction) {
  const Eigen::Vector2d distorted = distort(lens, direction.hnormalized()).place;
  const double focal_px = lens.values[lens_focal_px] * (1.0 + shift[2]);
  return {focal_px * distorted.x() + lens.values[lens_principal_x_px] + shift[0],
          focal_px * lens.values[lens_aspect] * distorted.y() + lens.values[lens_principal_y_px] + shift[1]};
}

PixelDerivatives pixel_derivatives(const Lens& lens, const PhotoShift& shift,
                                   const Eigen::Vector3d& direction) {
  const Eigen::Vector2d ideal = direction.hnormalized();
  const Distorted distorted = distort(lens, ideal);
  const double x = ideal.x(), y = ideal.y(), r2 = ideal.squaredNorm();
  const double column_scale = lens.values[lens_focal_px] * (1.0 + shift[2]);
  const double row_scale = column_scale * lens.values[lens_aspect];
  const Eigen::Vector2d scale{column_scale, row_scale};
  const Eigen::Vector2d scaled = scale.cwiseProduct(distorted.place);
  PixelDerivatives result;
  result.pixel = {scaled.x() + lens.values[lens_principal_x_px] + shift[0],
                  scaled.y() + lens.values[lens_principal_y_px] + shift[1]};
  Eigen::Matrix<double, 2, 3> ideal_by_direction;
  ideal_by_direction << 1.0, 0.0, -x, 0.0, 1.0, -y;
  result.by_direction = scale.asDiagonal() * distorted.jacobian * ideal_by_direction / direction.z();
  result.by_shift << 1.0, 0.0, scaled.x() / (1.0 + shift[2]), 0.0, 1.0, scaled.y() / (1.0 + shift[2]);
  result.by_lens.col(lens_focal_px) = scaled / lens.values[lens_focal_px];
  result.by_lens.col(lens_aspect) << 0.0, scaled.y() / lens.values[lens_aspect];
  result.by_lens.col(lens_principal_x_px) << 1.0, 0.0;
  result.by_lens.col(lens_principal_y_px) << 0.0, 1.0;
  const Eigen::Vector2d scaled_ideal = scale.cwiseProduct(ideal);
  result.by_lens.col(lens_k1) = r2 * scaled_ideal;
  result.by_lens.col(lens_k2) = r2 * r2 * scaled_ideal;
  result.by_lens.col(lens_k3) = r2 * r2 * r2 * scaled_ideal;
  result.by_lens.col(lens_p1) << column_scale * 2.0 * x * y, row_scale * (r2 + 2.0 * y * y);
  result.by_lens.col(lens_p2) << column_scale * (r2 + 2.0 * x * x), row_scale * 2.0 * x * y;
  return result;
}

std::optional<Eigen::Vector2d> direction_from_pixel(const Lens& lens, const PhotoShift& shift,
                                                    const Eigen::Vector2d& pixel) {
  const double focal_px = lens.values[lens_focal_px] * (1.0 + shift[2]);
  const Eigen::Vector2d wanted{
      (pixel.x() - lens.values[lens_principal_x_px] - shift[0]) / focal_px,
      (pixel.y() - lens.values[lens_principal_y_px] - shift[1]) / (focal_px * lens.values[lens_aspect])};
  // From the centre outwards the distortion is one-to-one until its Jacobian's determinant turns negative;
  // damped steps keep Newton on that branch.
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

}  // namespace pivotfix
