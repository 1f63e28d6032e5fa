// SPDX-License-Identifier: Apache-2.0
#include "network/rays.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>
#include <limits>

namespace pivotfix {

namespace {

Eigen::Matrix3d across(const Ray& ray) {
  return Eigen::Matrix3d::Identity() - ray.direction * ray.direction.transpose();
}

}  // namespace

Ray ray_to_centre(const StartedBundle& started, std::size_t observation) {
  const BundleStation& station = started.bundle.stations[started.bundle.observations[observation].station];
  const Lens& lens = started.bundle.lenses[station.lens].lens;
  const RigidTransform network_from_camera = station.camera_from_network.inverse();
  const UsedSighting& used = started.used[observation];
  Ray ray{used.photo, network_from_camera.translation_mm, Eigen::Vector3d::UnitZ(), lens.focal_px()};
  if (const auto place = direction_from_pixel(lens, station.shift, used.sighting->centre_px))
    ray.direction = network_from_camera.rotation * place->homogeneous().normalized();
  return ray;
}

double miss_px(const Ray& ray, const Eigen::Vector3d& point_mm) {
  const double depth_mm = ray.direction.dot(point_mm - ray.eye_mm);
  if (depth_mm <= 0.0) return std::numeric_limits<double>::infinity();
  return (across(ray) * (point_mm - ray.eye_mm)).norm() / depth_mm * ray.focal_px;
}

std::optional<Eigen::Vector3d> meeting_point(const std::vector<Ray>& rays, double most_miss_px) {
  Eigen::Matrix3d normal = Eigen::Matrix3d::Zero();
  Eigen::Vector3d right = Eigen::Vector3d::Zero();
  for (const Ray& ray : rays) {
    normal += across(ray);
    right += across(ray) * ray.eye_mm;
  }
  if (normal.determinant() < 1e-3 * std::pow(static_cast<double>(rays.size()), 3)) return std::nullopt;
  const Eigen::Vector3d point_mm = normal.ldlt().solve(right);
  if (std::any_of(rays.begin(), rays.end(),
                  [&](const Ray& ray) { return miss_px(ray, point_mm) > most_miss_px; }))
    return std::nullopt;
  return point_mm;
}

}  // namespace pivotfix
