// SPDX-License-Identifier: Apache-2.0
#include "network/cross_validation.h"

#include <Eigen/Cholesky>
#include <Eigen/Geometry>
#include <Eigen/QR>
#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include "base/side_by_side.h"
#include "network/outliers.h"
#include "network/pieces.h"

namespace pivotfix {

namespace {

constexpr int least_tags = 6;
constexpr int least_photos = 4;  // of each half

struct Half {
  Bundle bundle{};
  BundleCovariance found{};
  std::vector<bool> placed{};  // by target
};

// Photos that take part are counted in their order, so that photos without tags do not unbalance the halves.
std::vector<int> places_in_order(const Bundle& bundle) {
  std::vector<int> place(bundle.stations.size(), -1);
  for (const BundleObservation& observation : bundle.observations)
    if (!observation.rejected) place[observation.station] = 0;
  int next = 0;
  for (int& p : place)
    if (p == 0) p = next++;
  return place;
}

std::optional<Half> adjust_half(StartedBundle started, int parity) {
  Bundle& bundle = started.bundle;
  const auto place = places_in_order(bundle);
  for (BundleObservation& observation : bundle.observations)
    if (place[observation.station] % 2 != parity) observation.rejected = true;
  drop_loose_ends(started);
  keep_largest_piece(started);
  std::vector<int> photos(bundle.targets.size());
  std::vector<bool> stands(bundle.stations.size());
  for (const BundleObservation& observation : bundle.observations) {
    if (observation.rejected) continue;
    ++photos[observation.target];
    stands[observation.station] = true;
  }
  if (std::count(stands.begin(), stands.end(), true) < least_photos) return std::nullopt;
  bundle.datum_target = static_cast<int>(std::max_element(photos.begin(), photos.end()) - photos.begin());
  std::erase_if(bundle.distances, [&](const BundleDistance& distance) {
    return photos[distance.from_target] == 0 || photos[distance.to_target] == 0;
  });
  Half half;
  half.found = adjust_with_covariance(bundle, {.most_iterations = 20, .smallest_gain = 1e-6});
  if (!half.found.determined) return std::nullopt;
  half.bundle = std::move(bundle);
  for (const int count : photos) half.placed.push_back(count >= 2);
  return half;
}

Eigen::MatrixXd centre_covariance(const Half& half, const std::vector<int>& targets) {
  const auto count = static_cast<Eigen::Index>(targets.size());
  Eigen::MatrixXd covariance(3 * count, 3 * count);
  for (Eigen::Index a = 0; a < count; ++a)
    for (Eigen::Index b = 0; b < count; ++b)
      covariance.block<3, 3>(3 * a, 3 * b) = half.found.targets.block<3, 3>(6 * targets[a], 6 * targets[b]);
  return covariance;
}

Eigen::Matrix3Xd centres(const Half& half, const std::vector<int>& targets) {
  Eigen::Matrix3Xd points(3, targets.size());
  for (std::size_t i = 0; i < targets.size(); ++i)
    points.col(static_cast<Eigen::Index>(i)) =
        half.bundle.targets[targets[i]].network_from_target.translation_mm;
  return points;
}

// Orthonormal basis of what shift, turn and scale leave of the points' coordinates.
Eigen::MatrixXd beyond_similarity(const Eigen::Matrix3Xd& points) {
  const Eigen::Index size = points.size();
  const Eigen::Matrix3Xd from_middle = points.colwise() - points.rowwise().mean();
  const double reach = std::max(1e-9, from_middle.norm());
  Eigen::MatrixXd motions(size, 7);
  for (Eigen::Index i = 0; i < points.cols(); ++i) {
    const Eigen::Vector3d p = from_middle.col(i) / reach;
    Eigen::Matrix3d turn;
    turn << 0, p.z(), -p.y(), -p.z(), 0, p.x(), p.y(), -p.x(), 0;
    motions.block<3, 3>(3 * i, 0).setIdentity();
    motions.block<3, 3>(3 * i, 3) = turn;
    motions.block<3, 1>(3 * i, 6) = p;
  }
  const Eigen::MatrixXd all = motions.householderQr().householderQ() * Eigen::MatrixXd::Identity(size, size);
  return all.rightCols(size - 7);
}

}  // namespace

CrossValidation cross_validate(const StartedBundle& finished) {
  CrossValidation result;
  const int threads = finished.bundle.threads;
  std::array<std::optional<Half>, 2> halves;
  side_by_side(2, threads, [&](std::size_t parity) {
    StartedBundle started = finished;
    started.bundle.threads = std::max(1, threads / 2);
    halves[parity] = adjust_half(std::move(started), static_cast<int>(parity));
  });
  const auto& [odd, even] = halves;
  if (!odd || !even) return result;
  std::vector<int> common;
  for (std::size_t i = 0; i < odd->placed.size(); ++i)
    if (odd->placed[i] && even->placed[i]) common.push_back(static_cast<int>(i));
  if (common.size() < least_tags) return result;
  const Eigen::Matrix3Xd first = centres(*odd, common), second = centres(*even, common);
  const Eigen::Matrix4d first_from_second = Eigen::umeyama(second, first, true);
  const Eigen::Matrix3d turn_and_scale = first_from_second.topLeftCorner<3, 3>();
  const Eigen::Matrix3Xd laid_over =
      (turn_and_scale * second).colwise() + first_from_second.topRightCorner<3, 1>();
  // The second half's covariance in the first one's axes.
  Eigen::MatrixXd turned = centre_covariance(*even, common);
  for (Eigen::Index i = 0; i < turned.rows(); i += 3) {
    turned.middleRows<3>(i) = (turn_and_scale * turned.middleRows<3>(i)).eval();
    turned.middleCols<3>(i) = (turned.middleCols<3>(i) * turn_and_scale.transpose()).eval();
  }
  const Eigen::MatrixXd beyond = beyond_similarity(first);
  const Eigen::Matrix3Xd apart = first - laid_over;
  const Eigen::VectorXd inside = beyond.transpose() * apart.reshaped();
  const Eigen::MatrixXd spread = beyond.transpose() * (centre_covariance(*odd, common) + turned) * beyond;
  const Eigen::LDLT<Eigen::MatrixXd> factor(spread);
  if (factor.info() != Eigen::Success || !factor.isPositive()) return result;
  const double squares = inside.dot(factor.solve(inside));
  result.done = true;
  result.tags = static_cast<int>(common.size());
  result.apart_rms_mm = std::sqrt(apart.squaredNorm() / static_cast<double>(common.size()));
  result.ratio = std::sqrt(squares / static_cast<double>(inside.size()));
  return result;
}

}  // namespace pivotfix
