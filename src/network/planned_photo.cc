// SPDX-License-Identifier: Apache-2.0
#include "network/planned_photo.h"

#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <algorithm>
#include <optional>
#include <span>

#include "base/median.h"
#include "bundle/bundle.h"
#include "network/corners.h"

namespace pivotfix {

namespace {

using Eigen::Index;
using Eigen::MatrixXd;

double middle_of(std::span<double> values, double when_empty) {
  return values.empty() ? when_empty : median(values);
}

// The tag as the camera would see it, its edge points in place of those that a photo would have.
Sighting expected_sighting(const BundleObservation& seen, double points_per_px) {
  Sighting sighting;
  std::copy_n(seen.points_px.begin(), 4, sighting.corner_px.begin());
  sighting.centre_px.setZero();
  for (const Eigen::Vector2d& corner : sighting.corner_px) sighting.centre_px += 0.25 * corner;
  for (int edge = 0; edge < 4; ++edge) {
    const Eigen::Vector2d& from = sighting.corner_px[edge];
    const Eigen::Vector2d& to = sighting.corner_px[(edge + 1) % 4];
    const int points = std::max(5, static_cast<int>(points_per_px * (to - from).norm()));
    for (int i = 0; i < points; ++i)
      sighting.edge_points[edge].push_back({from + (0.1 + 0.8 * i / (points - 1.0)) * (to - from)});
  }
  return sighting;
}

// A bundle of the planned station alone, with the tags that it would see.
class PlannedBundle {
 public:
  PlannedBundle(const PlannedPhoto& photo, const Network& network) {
    BundleLens lens;
    lens.lens = network.lenses[photo.lens].lens;
    bundle_.lenses.push_back(lens);
    bundle_.stations.push_back({photo.network_from_camera.inverse(), 0, {}});
    for (const int tag : photo.tags) {
      const auto corners_mm = tag_corners_mm(network.tags[tag].side_mm);
      BundleObservation observation;
      observation.target = static_cast<int>(bundle_.targets.size());
      observation.points_target_mm.assign(corners_mm.begin(), corners_mm.end());
      bundle_.targets.push_back({network.tags[tag].network_from_tag, observation.target});
      bundle_.sizes.emplace_back();
      observation.points_px.assign(4, Eigen::Vector2d::Zero());
      const Eigen::VectorXd miss_px = residuals_px(bundle_, observation);
      for (int i = 0; i < 4; ++i) observation.points_px[i] = -miss_px.segment<2>(2 * i);
      bundle_.observations.push_back(observation);
    }
  }

  // Whitened derivatives of one tag's sighting; empty when it could not be measured there.
  std::optional<MatrixXd> derivatives(std::size_t tag, const Network& network, const EdgeQuality& quality) {
    BundleObservation& observation = bundle_.observations[tag];
    EdgeNoise noise;
    noise.smallest_px = std::max(noise.smallest_px, quality.noise_px);
    const auto corners = measure_corners(expected_sighting(observation, quality.points_per_px),
                                         bundle_.lenses.front().lens, {}, noise);
    if (!corners) return std::nullopt;
    observation.square_root_information =
        square_root_information(corners->covariance_px2) / std::max(network.noise_factor, 0.01);
    return local_jacobian(bundle_, observation);
  }

 private:
  Bundle bundle_;
};

}  // namespace

EdgeQuality edge_quality(const std::vector<PhotoSightings>& photos) {
  std::vector<double> noise_px, points_per_px;
  for (const PhotoSightings& photo : photos)
    for (const Sighting& sighting : photo.sightings)
      for (int edge = 0; edge < 4; ++edge) {
        const double length_px = (sighting.corner_px[(edge + 1) % 4] - sighting.corner_px[edge]).norm();
        if (length_px < 1.0) continue;
        points_per_px.push_back(static_cast<double>(sighting.edge_points[edge].size()) / length_px);
        noise_px.push_back(sighting.edge_noise_px);
      }
  const EdgeQuality usual;
  return {middle_of(noise_px, usual.noise_px), middle_of(points_per_px, usual.points_per_px)};
}

PhotoInformation information_of(const PlannedPhoto& photo, const Network& network,
                                const EdgeQuality& quality) {
  const auto tags = static_cast<Index>(network.tags.size());
  const Index sizes = network.joint_covariance.cols() - target_width * tags -
                      lens_parameter_count * static_cast<Index>(network.lenses.size());
  const Index first_size = target_width * tags;
  const Index first_lens = first_size + sizes + lens_parameter_count * photo.lens;
  PhotoInformation information;
  for (const int tag : photo.tags)
    for (int k = 0; k < target_width; ++k) information.columns.push_back(target_width * tag + k);
  const auto shared = static_cast<Index>(information.columns.size());
  for (Index i = 0; i < sizes; ++i) information.columns.push_back(first_size + i);
  for (int i = 0; i < lens_parameter_count; ++i) information.columns.push_back(first_lens + i);
  const auto width = static_cast<Index>(information.columns.size());

  Eigen::Matrix<double, station_width, station_width> station;
  station.setZero();
  for (int k = 0; k < photo_shift_count; ++k) {
    const double sigma = std::max(network.shift_sigma[k], 1e-9);
    station(first_shift + k, first_shift + k) = 1.0 / (sigma * sigma);
  }
  MatrixXd coupling = MatrixXd::Zero(station_width, width);
  information.matrix = MatrixXd::Zero(width, width);
  PlannedBundle bundle(photo, network);
  for (std::size_t i = 0; i < photo.tags.size(); ++i) {
    const auto derivatives = bundle.derivatives(i, network, quality);
    if (!derivatives) continue;
    std::array<Index, local_width - station_width> column{};
    for (int k = 0; k < target_width; ++k) column[k] = target_width * static_cast<Index>(i) + k;
    column[target_width] = shared + network.tags[photo.tags[i]].shared_size;
    for (int k = 0; k < lens_parameter_count; ++k) column[target_width + 1 + k] = shared + sizes + k;
    const MatrixXd normal = derivatives->transpose() * *derivatives;
    station += normal.topLeftCorner<station_width, station_width>();
    for (std::size_t a = 0; a < column.size(); ++a) {
      coupling.col(column[a]) += normal.block(0, station_width + static_cast<Index>(a), station_width, 1);
      for (std::size_t b = 0; b < column.size(); ++b)
        information.matrix(column[a], column[b]) +=
            normal(station_width + static_cast<Index>(a), station_width + static_cast<Index>(b));
    }
  }
  information.matrix.noalias() -= coupling.transpose() * station.ldlt().solve(coupling);
  // What widens the covariance of photos like it, holds for it too.
  information.matrix /= network.widened * network.widened;
  return information;
}

// With normal equations M of the photo, (C^-1 + M)^-1 = C - C M (I + C M)^-1 C (matrix inversion lemma); only
// the columns that the photo touches take part, and C may be singular.
Eigen::VectorXd variance_drop(const MatrixXd& joint_covariance, const PhotoInformation& information,
                              const MatrixXd& by_joint) {
  const MatrixXd known = joint_covariance(information.columns, information.columns);
  const MatrixXd touched = joint_covariance(information.columns, Eigen::all) * by_joint.transpose();
  const auto width = known.rows();
  const MatrixXd system = MatrixXd::Identity(width, width) + known * information.matrix;
  const MatrixXd gain = information.matrix * system.partialPivLu().solve(touched);
  return touched.cwiseProduct(gain).colwise().sum();
}

MatrixXd covariance_with(const MatrixXd& joint_covariance, const PhotoInformation& information) {
  const MatrixXd known = joint_covariance(information.columns, information.columns);
  const MatrixXd touched = joint_covariance(information.columns, Eigen::all);
  const auto width = known.rows();
  const MatrixXd system = MatrixXd::Identity(width, width) + known * information.matrix;
  const MatrixXd gain = information.matrix * system.partialPivLu().solve(touched);
  const MatrixXd after = joint_covariance - touched.transpose() * gain;
  return 0.5 * (after + after.transpose());
}

}  // namespace pivotfix
