// SPDX-License-Identifier: Apache-2.0
// Derivatives of the adjustment against central differences of its residuals.
#include "bundle/projection.h"

#include <gtest/gtest.h>

namespace pivotfix {
namespace {

RigidTransform turned(const RigidTransform& pose, const Eigen::Vector3d& small_rad,
                      const Eigen::Vector3d& small_mm) {
  const double angle_rad = small_rad.norm();
  const Eigen::Quaterniond turn =
      angle_rad > 0.0 ? Eigen::Quaterniond(Eigen::AngleAxisd(angle_rad, small_rad / angle_rad))
                      : Eigen::Quaterniond::Identity();
  return {turn * pose.rotation, pose.translation_mm + small_mm};
}

Bundle one_sighting() {
  Bundle bundle;
  BundleLens lens;
  lens.lens.values = {3000.0, 1.001, 1990.0, 1510.0, 0.08, -0.15, 0.06, 0.001, -0.0007};
  bundle.lenses = {lens};
  BundleStation station;
  station.camera_from_network = {
      Eigen::Quaterniond(Eigen::AngleAxisd(0.8, Eigen::Vector3d(0.2, 0.9, -0.3).normalized())),
      {40.0, -90.0, 1100.0}};
  station.shift = {3.0, -5.0, 0.002, 0.003, -0.002, 0.004};
  bundle.stations = {station};
  bundle.targets = {
      {{Eigen::Quaterniond(Eigen::AngleAxisd(-0.4, Eigen::Vector3d(0.5, 0.1, 0.8).normalized())),
        {150.0, 80.0, 60.0}},
       0}};
  bundle.sizes = {{1.004, 0.02, true}};
  BundleObservation observation;
  observation.points_target_mm = {{-20, -20, 0}, {20, -20, 0}, {20, 20, 0}, {-20, 20, 0}};
  observation.points_px = {{2000, 1500}, {2100, 1500}, {2100, 1600}, {2000, 1600}};
  observation.square_root_information =
      Eigen::MatrixXd::Identity(8, 8) * 3.0 + Eigen::MatrixXd::Constant(8, 8, 0.2);
  bundle.observations = {observation};
  return bundle;
}

// The bundle with one tangent coordinate changed; the order is that of `local_jacobian`.
Bundle changed(Bundle bundle, int coordinate, double by) {
  Eigen::Matrix<double, local_width, 1> change = Eigen::Matrix<double, local_width, 1>::Zero();
  change[coordinate] = by;
  BundleStation& station = bundle.stations[0];
  station.camera_from_network =
      turned(station.camera_from_network, change.segment<3>(0), change.segment<3>(3));
  for (int i = 0; i < photo_shift_count; ++i) station.shift[i] += change[first_shift + i];
  RigidTransform& target = bundle.targets[0].network_from_target;
  target = turned(target, change.segment<3>(station_width + 3), change.segment<3>(station_width));
  bundle.sizes[0].factor += change[station_width + target_width];
  for (int i = 0; i < lens_parameter_count; ++i)
    bundle.lenses[0].lens.values[i] += change[station_width + target_width + 1 + i];
  return bundle;
}

TEST(LocalJacobian, EqualsCentralDifferencesInEveryCoordinate) {
  const Bundle bundle = one_sighting();
  const auto jacobian = local_jacobian(bundle, bundle.observations[0]);
  ASSERT_EQ(jacobian.rows(), 8);
  for (int coordinate = 0; coordinate < local_width; ++coordinate) {
    constexpr double step = 1e-5;
    const Bundle more = changed(bundle, coordinate, step), less = changed(bundle, coordinate, -step);
    const Eigen::VectorXd difference =
        bundle.observations[0].square_root_information *
        (residuals_px(more, more.observations[0]) - residuals_px(less, less.observations[0])) / (2.0 * step);
    ASSERT_GT(difference.norm(), 1e-3) << "coordinate " << coordinate;
    const double size = std::max(1.0, difference.norm());
    EXPECT_LT((jacobian.col(coordinate) - difference).norm() / size, 1e-6) << "coordinate " << coordinate;
  }
}

}  // namespace
}  // namespace pivotfix
