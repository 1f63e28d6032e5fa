// SPDX-License-Identifier: Apache-2.0
// What a photo that is not yet taken would tell: the same weights and derivatives as those of the photos
// that are, at the place where its sightings are expected.
#pragma once

#include <Eigen/Core>
#include <vector>

#include "network/network.h"

namespace pivotfix {

struct PlannedPhoto {
  RigidTransform network_from_camera{};
  int lens = 0;             // index into Network::lenses
  std::vector<int> tags{};  // that it would show, indices into Network::tags
};

// How well edges come out in photos like those taken.
struct EdgeQuality {
  double noise_px = 0.05;      // of one edge point
  double points_per_px = 0.3;  // of an edge's length
};
EdgeQuality edge_quality(const std::vector<PhotoSightings>& photos);

// Normal equations of the photo over `columns` of Network::joint_covariance, its own station eliminated.
struct PhotoInformation {
  std::vector<Eigen::Index> columns{};
  Eigen::MatrixXd matrix{};
};
PhotoInformation information_of(const PlannedPhoto& photo, const Network& network,
                                const EdgeQuality& quality);

// By how much the photo lowers the variance of every row of `by_joint` (rows x columns of the covariance):
// the diagonal of G (C - C') G' with C' the covariance after the photo.
Eigen::VectorXd variance_drop(const Eigen::MatrixXd& joint_covariance, const PhotoInformation& information,
                              const Eigen::MatrixXd& by_joint);

// Covariance once the photo is taken.
Eigen::MatrixXd covariance_with(const Eigen::MatrixXd& joint_covariance, const PhotoInformation& information);

}  // namespace pivotfix
