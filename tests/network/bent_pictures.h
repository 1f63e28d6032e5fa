// SPDX-License-Identifier: Apache-2.0
// Made-up photos whose pictures are bent as no lens and no steady hand bends them, and how well the stated
// uncertainty foretells where their tags come out.
#pragma once

#include <Eigen/Cholesky>
#include <Eigen/Geometry>
#include <Eigen/QR>

#include "simulated_photos.h"

namespace pivotfix::simulation {

struct Bend {
  double warp_px = 0.0;  // of all pictures alike, as a phone's own correction of its lens leaves it
  double sway_px = 0.0;  // to and fro while rows are read, standard deviation per photo
};

// Waves of half to two thirds of the picture's size, which Brown's polynomial does not follow.
inline Vector2d warped(const Truth& truth, double warp_px, const Vector2d& place_px) {
  const double a = 2 * M_PI * place_px.x() / truth.width, b = 2 * M_PI * place_px.y() / truth.height;
  return place_px + warp_px * Vector2d(std::sin(1.5 * b + 0.7) * std::cos(1.1 * a),
                                       std::sin(1.3 * a + 0.2) * std::cos(1.7 * b + 1.0));
}

inline void bend(Photographed& photographed, const Bend& by, unsigned seed) {
  std::mt19937 random(seed);
  std::normal_distribution<double> normal(0.0, 1.0);
  std::uniform_real_distribution<double> even(-1.0, 1.0);
  const Truth& truth = photographed.truth;
  for (PhotoSightings& photo : photographed.input.photos) {
    const Vector2d sway_px = by.sway_px * Vector2d{normal(random), normal(random)};
    const double times = 1 + 0.5 * even(random), x_phase = M_PI * even(random), y_phase = M_PI * even(random);
    const auto move = [&](Vector2d& place_px) {
      const double angle_rad = 2 * M_PI * times * place_px.y() / truth.height;
      place_px = warped(truth, by.warp_px, place_px) +
                 sway_px.cwiseProduct(Vector2d(std::sin(angle_rad + x_phase), std::sin(angle_rad + y_phase)));
    };
    for (Sighting& sighting : photo.sightings) {
      move(sighting.centre_px);
      for (Vector2d& corner : sighting.corner_px) move(corner);
      for (auto& edge : sighting.edge_points)
        for (EdgePoint& point : edge) move(point.point_px);
    }
  }
}

// Chi-squared per degree of freedom of the tags' centres against the truth, in what shift, turn and scale
// leave of them: one where the joint covariance tells the truth.
inline double squares_per_freedom(const Network& network, const Truth& truth) {
  const auto count = static_cast<Eigen::Index>(network.tags.size());
  Eigen::Matrix3Xd found(3, count), wanted(3, count);
  Eigen::MatrixXd covariance(3 * count, 3 * count);
  for (Eigen::Index i = 0; i < count; ++i) {
    found.col(i) = network.tags[i].network_from_tag.translation_mm;
    wanted.col(i) = truth.world_from_tag[network.tags[i].number].translation_mm;
    for (Eigen::Index k = 0; k < count; ++k)
      covariance.block<3, 3>(3 * i, 3 * k) = network.tag_covariance.block<3, 3>(6 * i, 6 * k);
  }
  const Eigen::Matrix4d network_from_world = Eigen::umeyama(wanted, found, true);
  const Eigen::Matrix3Xd miss = found - ((network_from_world.topLeftCorner<3, 3>() * wanted).colwise() +
                                         network_from_world.col(3).head<3>());
  const Eigen::Matrix3Xd from_middle = found.colwise() - found.rowwise().mean();
  Eigen::MatrixXd motions(3 * count, 7);
  for (Eigen::Index i = 0; i < count; ++i) {
    const Vector3d place = from_middle.col(i) / from_middle.norm();
    motions.block<3, 3>(3 * i, 0).setIdentity();
    for (int axis = 0; axis < 3; ++axis)
      motions.block<3, 1>(3 * i, 3 + axis) = Vector3d::Unit(axis).cross(place);
    motions.block<3, 1>(3 * i, 6) = place;
  }
  const Eigen::MatrixXd all =
      motions.householderQr().householderQ() * Eigen::MatrixXd::Identity(3 * count, 3 * count);
  const Eigen::MatrixXd beyond = all.rightCols(3 * count - 7);
  const Eigen::VectorXd inside = beyond.transpose() * miss.reshaped();
  return inside.dot((beyond.transpose() * covariance * beyond).ldlt().solve(inside)) /
         static_cast<double>(inside.size());
}

}  // namespace pivotfix::simulation
