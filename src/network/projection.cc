// SPDX-License-Identifier: Apache-2.0
#include "network/projection.h"

namespace pivotfix {

namespace {

ObservedState state_of(const Bundle& bundle, const BundleObservation& observation) {
  const BundleStation& station = bundle.stations[observation.station];
  const BundleTarget& target = bundle.targets[observation.target];
  return {station.camera_from_network, station.shift, target.network_from_target,
          bundle.sizes[target.size].factor, bundle.lenses[station.lens].lens};
}

Eigen::VectorXd miss_px(const BundleObservation& observation, const ObservedState& state) {
  const RigidTransform camera_from_target = state.camera_from_network * state.network_from_target;
  const auto points = static_cast<Eigen::Index>(observation.points_target_mm.size());
  Eigen::VectorXd miss(2 * points);
  for (Eigen::Index i = 0; i < points; ++i)
    miss.segment<2>(2 * i) =
        observation.points_px[i] -
        pixel_from_direction(state.lens, state.shift,
                             camera_from_target * (state.size * observation.points_target_mm[i]));
  return miss;
}

// M with M w = w x v.
Eigen::Matrix3d turning(const Eigen::Vector3d& v) {
  Eigen::Matrix3d matrix;
  matrix << 0.0, v.z(), -v.y(), -v.z(), 0.0, v.x(), v.y(), -v.x(), 0.0;
  return matrix;
}

}  // namespace

Eigen::VectorXd residuals_px(const Bundle& bundle, const BundleObservation& observation) {
  return miss_px(observation, state_of(bundle, observation));
}

Eigen::Matrix<double, Eigen::Dynamic, local_width> local_jacobian(const Bundle& bundle,
                                                                  const BundleObservation& observation) {
  return whitened_jacobian(observation, state_of(bundle, observation));
}

Eigen::VectorXd whitened_residuals(const BundleObservation& observation, const ObservedState& state) {
  return observation.square_root_information * miss_px(observation, state);
}

// A point of the target: in the network s = R_t (size p), then + t_t; in the camera c = R_s (s + t_t), then
// + t_s. Turning R by a small vector w from the left adds w x (what R has turned).
Eigen::Matrix<double, Eigen::Dynamic, local_width> whitened_jacobian(const BundleObservation& observation,
                                                                     const ObservedState& state) {
  const Eigen::Matrix3d camera_axes = state.camera_from_network.rotation.toRotationMatrix();
  const Eigen::Matrix3d target_axes = state.network_from_target.rotation.toRotationMatrix();
  const auto points = static_cast<Eigen::Index>(observation.points_target_mm.size());
  Eigen::Matrix<double, Eigen::Dynamic, local_width> of_pixels(2 * points, local_width);
  for (Eigen::Index i = 0; i < points; ++i) {
    const Eigen::Vector3d per_size_mm = target_axes * observation.points_target_mm[i];
    const Eigen::Vector3d turned_mm = state.size * per_size_mm;
    const Eigen::Vector3d turned_twice_mm =
        camera_axes * (turned_mm + state.network_from_target.translation_mm);
    const PixelDerivatives pixel = pixel_derivatives(
        state.lens, state.shift, turned_twice_mm + state.camera_from_network.translation_mm);
    const Eigen::Matrix<double, 2, 3> by_network = pixel.by_direction * camera_axes;
    auto rows = of_pixels.middleRows<2>(2 * i);
    rows.middleCols<3>(0) = pixel.by_direction * turning(turned_twice_mm);
    rows.middleCols<3>(3) = pixel.by_direction;
    rows.middleCols<3>(6) = pixel.by_shift;
    rows.middleCols<3>(station_width) = by_network;
    rows.middleCols<3>(station_width + 3) = by_network * turning(turned_mm);
    rows.col(station_width + target_width) = by_network * per_size_mm;
    rows.rightCols<lens_parameter_count>() = pixel.by_lens;
  }
  return -observation.square_root_information * of_pixels;
}

}  // namespace pivotfix
