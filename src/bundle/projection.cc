// SPDX-License-Identifier: Apache-2.0
#include "bundle/projection.h"

namespace pivotfix {

namespace {

// M with M w = w x v.
Eigen::Matrix3d turning(const Eigen::Vector3d& v) {
  Eigen::Matrix3d matrix;
  matrix << 0.0, v.z(), -v.y(), -v.z(), 0.0, v.x(), v.y(), -v.x(), 0.0;
  return matrix;
}

}  // namespace

Eigen::VectorXd residuals_px(const Bundle& bundle, const BundleObservation& observation) {
  const BundleStation& station = bundle.stations[observation.station];
  const BundleTarget& target = bundle.targets[observation.target];
  const RigidTransform camera_from_target = station.camera_from_network * target.network_from_target;
  const auto points = static_cast<Eigen::Index>(observation.points_target_mm.size());
  Eigen::VectorXd miss(2 * points);
  for (Eigen::Index i = 0; i < points; ++i)
    miss.segment<2>(2 * i) = observation.points_px[i] -
                             pixel_from_direction(bundle.lenses[station.lens].lens, station.shift,
                                                  camera_from_target * (bundle.sizes[target.size].factor *
                                                                        observation.points_target_mm[i]));
  return miss;
}

Eigen::Matrix<double, Eigen::Dynamic, local_width> local_jacobian(const Bundle& bundle,
                                                                  const BundleObservation& observation) {
  Linearised<Eigen::Dynamic> at;
  linearise_observation(bundle, observation, at);
  return at.jacobian;
}

// A point of the target: in the network s = R_t (size p), then + t_t; in the camera c = R_s (s + t_t), then
// + t_s. Turning R by a small vector w from the left adds w x (what R has turned).
template <int rows>
void linearise_observation(const Bundle& bundle, const BundleObservation& observation, Linearised<rows>& at) {
  const BundleStation& station = bundle.stations[observation.station];
  const BundleTarget& target = bundle.targets[observation.target];
  const Lens& lens = bundle.lenses[station.lens].lens;
  const double size = bundle.sizes[target.size].factor;
  const Eigen::Matrix3d camera_axes = station.camera_from_network.rotation.toRotationMatrix();
  const Eigen::Matrix3d target_axes = target.network_from_target.rotation.toRotationMatrix();
  const auto points = static_cast<Eigen::Index>(observation.points_target_mm.size());
  Eigen::Matrix<double, rows, local_width> of_pixels(2 * points, local_width);
  Eigen::Matrix<double, rows, 1> miss_px(2 * points);
  for (Eigen::Index i = 0; i < points; ++i) {
    const Eigen::Vector3d per_size_mm = target_axes * observation.points_target_mm[i];
    const Eigen::Vector3d turned_mm = size * per_size_mm;
    const Eigen::Vector3d turned_twice_mm =
        camera_axes * (turned_mm + target.network_from_target.translation_mm);
    const PixelDerivatives pixel =
        pixel_derivatives(lens, station.shift, turned_twice_mm + station.camera_from_network.translation_mm);
    const Eigen::Matrix<double, 2, 3> by_network = pixel.by_direction * camera_axes;
    auto two_rows = of_pixels.template middleRows<2>(2 * i);
    two_rows.template middleCols<3>(0) = pixel.by_direction * turning(turned_twice_mm);
    two_rows.template middleCols<3>(3) = pixel.by_direction;
    two_rows.template middleCols<photo_shift_count>(first_shift) = pixel.by_shift;
    two_rows.template middleCols<3>(station_width) = by_network;
    two_rows.template middleCols<3>(station_width + 3) = by_network * turning(turned_mm);
    two_rows.col(station_width + target_width) = by_network * per_size_mm;
    two_rows.template rightCols<lens_parameter_count>() = pixel.by_lens;
    miss_px.template segment<2>(2 * i) = observation.points_px[i] - pixel.pixel;
  }
  const Eigen::Map<const Eigen::Matrix<double, rows, rows>> whitening(
      observation.square_root_information.data(), 2 * points, 2 * points);
  if constexpr (rows == Eigen::Dynamic) {
    at.residuals.noalias() = whitening * miss_px;
    at.jacobian.noalias() = -whitening * of_pixels;
  } else {  // small products are faster without the packing of large ones
    at.residuals = whitening.lazyProduct(miss_px);
    at.jacobian = -whitening.lazyProduct(of_pixels);
  }
}

template void linearise_observation<8>(const Bundle&, const BundleObservation&, Linearised<8>&);
template void linearise_observation<Eigen::Dynamic>(const Bundle&, const BundleObservation&,
                                                    Linearised<Eigen::Dynamic>&);

}  // namespace pivotfix
