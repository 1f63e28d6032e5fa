// SPDX-License-Identifier: Apache-2.0
#include "bench/accuracy_rows.h"

#include <Eigen/Cholesky>
#include <Eigen/Geometry>
#include <Eigen/QR>
#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "base/keep_larger.h"

namespace pivotfix::bench {
namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;
using render::PaperTag;
using render::PhotoSet;
using render::Shot;

TagCorners true_corners(const PaperTag& tag, const Shot& shot) {
  const auto corners_mm = tag_corners_mm(tag.side_mm);
  TagCorners corners;
  for (int k = 0; k < 4; ++k) corners[k] = render::picture_of(shot, tag.world_from_tag * corners_mm[k]);
  return corners;
}

// The centre that four straight edges through the true corners give: on a wide tag the lens moves it away
// from the image of the tag's middle, which is not the sighting's fault.
Vector2d diagonal_crossing(const TagCorners& corner) {
  Eigen::Matrix2d along;
  along << corner[2] - corner[0], corner[1] - corner[3];
  return corner[0] + (corner[2] - corner[0]) * along.inverse().row(0).dot(corner[1] - corner[0]);
}

void add(PictureErrors& errors, const Vector2d& miss) {
  errors.squares += miss.squaredNorm();
  errors.sum_x += miss.x();
  errors.sum_y += miss.y();
  errors.coordinates += 2;
}

const PaperTag* tag_of(const PhotoSet& set, int number) {
  for (const PaperTag& tag : set.tags)
    if (tag.number == number) return &tag;
  return nullptr;
}

template <typename Visit>
void for_each_true_sighting(const PhotoSet& set, const Visit& visit) {
  for (std::size_t i = 0; i < set.shots.size(); ++i) {
    const auto seen = render::visibility(set.tags, set.shots[i]);
    for (const Sighting& sighting : set.input.photos[i].sightings) {
      const PaperTag* tag = tag_of(set, sighting.tag_number);
      if (tag == nullptr) continue;
      const render::Visibility& how = seen[static_cast<std::size_t>(tag - set.tags.data())];
      if (how.whole && !how.hidden) visit(sighting, *tag, set.shots[i]);
    }
  }
}

RigidTransform best_fit(const std::vector<Vector3d>& from, const std::vector<Vector3d>& to) {
  Eigen::Matrix3Xd a(3, from.size()), b(3, to.size());
  for (std::size_t i = 0; i < from.size(); ++i) {
    a.col(i) = from[i];
    b.col(i) = to[i];
  }
  const Eigen::Matrix4d fit = Eigen::umeyama(a, b, false);
  return {Eigen::Quaterniond(fit.topLeftCorner<3, 3>()), fit.topRightCorner<3, 1>()};
}

// Errors after the fit live in the space that no rigid motion reaches: squares by the inverse there, over its
// dimension.
double mean_normalised_square(const std::vector<Vector3d>& errors, const std::vector<Vector3d>& places,
                              const Eigen::MatrixXd& covariance) {
  const auto size = static_cast<Eigen::Index>(3 * errors.size());
  Eigen::MatrixXd motions(size, 6);
  Eigen::VectorXd error(size);
  for (std::size_t i = 0; i < errors.size(); ++i) {
    Eigen::Matrix3d turn;
    turn << 0, places[i].z(), -places[i].y(), -places[i].z(), 0, places[i].x(), places[i].y(), -places[i].x(),
        0;
    motions.block<3, 3>(3 * i, 0).setIdentity();
    motions.block<3, 3>(3 * i, 3) = turn / 500.0;
    error.segment<3>(3 * i) = errors[i];
  }
  const Eigen::MatrixXd basis =
      motions.householderQr().householderQ() * Eigen::MatrixXd::Identity(size, size);
  const Eigen::MatrixXd rest = basis.rightCols(size - 6);
  const Eigen::VectorXd inside = rest.transpose() * error;
  const Eigen::MatrixXd spread = rest.transpose() * covariance * rest;
  return inside.dot(spread.ldlt().solve(inside)) / static_cast<double>(size - 6);
}

}  // namespace

double PictureErrors::rms_px() const {
  return coordinates > 0 ? std::sqrt(squares / coordinates) : std::numeric_limits<double>::infinity();
}
double PictureErrors::mean_px() const {
  return coordinates > 0 ? std::hypot(sum_x, sum_y) / (0.5 * coordinates)
                         : std::numeric_limits<double>::infinity();
}

PictureErrors centre_errors(const PhotoSet& set) {
  PictureErrors errors;
  for_each_true_sighting(set, [&](const Sighting& sighting, const PaperTag& tag, const Shot& shot) {
    add(errors, sighting.centre_px - diagonal_crossing(true_corners(tag, shot)));
  });
  return errors;
}

PictureErrors corner_errors(const PhotoSet& set) {
  PictureErrors errors;
  for_each_true_sighting(set, [&](const Sighting& sighting, const PaperTag& tag, const Shot& shot) {
    const TagCorners corners = true_corners(tag, shot);
    for (int k = 0; k < 4; ++k) add(errors, sighting.corner_px[k] - corners[k]);
  });
  return errors;
}

Recall recall(const PhotoSet& set) {
  Recall result;
  for (std::size_t i = 0; i < set.shots.size(); ++i) {
    const auto seen = render::visibility(set.tags, set.shots[i]);
    const auto& sightings = set.input.photos[i].sightings;
    for (std::size_t t = 0; t < set.tags.size(); ++t) {
      if (!seen[t].whole || seen[t].hidden || seen[t].shortest_side_px < 20.0 ||
          seen[t].tilt_rad > 65.0 * std::numbers::pi / 180.0)
        continue;
      ++result.wanted;
      for (const Sighting& sighting : sightings)
        if (sighting.tag_number == set.tags[t].number) {
          ++result.found;
          break;
        }
    }
    for (const Sighting& sighting : sightings) {
      const PaperTag* tag = tag_of(set, sighting.tag_number);
      const double miss_px =
          tag ? (sighting.centre_px - diagonal_crossing(true_corners(*tag, set.shots[i]))).norm() : 1e9;
      const double side_px = (sighting.corner_px[1] - sighting.corner_px[0]).norm();
      if (miss_px > 0.5 * side_px)
        ++result.wrong_numbers;
      else if (miss_px > 2.0)
        ++result.misplaced;
    }
  }
  return result;
}

SpaceErrors space_errors(const PhotoSet& set, const Network& network) {
  std::vector<Vector3d> found, truth, found_points, true_points;
  std::vector<Eigen::Index> columns;
  for (std::size_t i = 0; i < network.tags.size(); ++i) {
    const TagInSpace& tag = network.tags[i];
    const PaperTag* real = tag_of(set, tag.number);
    if (tag.photos < 4 || real == nullptr) continue;
    const Vector3d behind(0.0, 0.0, -20.0 - (tag.number * 7) % 26);
    found.push_back(tag.network_from_tag.translation_mm);
    truth.push_back(real->world_from_tag.translation_mm);
    found_points.push_back(tag.network_from_tag * behind);
    true_points.push_back(real->world_from_tag * behind);
    columns.push_back(static_cast<Eigen::Index>(6 * i));
  }
  SpaceErrors result;
  result.tags = static_cast<int>(found.size());
  if (found.size() < 3) {  // nothing to fit: that is no small error
    result.centre_rms_mm = result.hardpoint_rms_mm = result.largest_length_mm =
        std::numeric_limits<double>::infinity();
    return result;
  }
  const RigidTransform network_from_truth = best_fit(truth, found);
  std::vector<Vector3d> errors;
  double centre_squares = 0.0, point_squares = 0.0;
  for (std::size_t i = 0; i < found.size(); ++i) {
    errors.emplace_back(found[i] - network_from_truth * truth[i]);
    centre_squares += errors.back().squaredNorm();
    point_squares += (found_points[i] - network_from_truth * true_points[i]).squaredNorm();
    for (std::size_t j = 0; j < i; ++j)
      keep_larger(result.largest_length_mm,
                  std::abs((found[i] - found[j]).norm() - (truth[i] - truth[j]).norm()));
  }
  const auto count = static_cast<double>(found.size());
  result.centre_rms_mm = std::sqrt(centre_squares / count);
  result.hardpoint_rms_mm = std::sqrt(point_squares / count);
  Eigen::MatrixXd covariance(3 * columns.size(), 3 * columns.size());
  for (std::size_t a = 0; a < columns.size(); ++a)
    for (std::size_t b = 0; b < columns.size(); ++b)
      covariance.block<3, 3>(3 * a, 3 * b) = network.tag_covariance.block<3, 3>(columns[a], columns[b]);
  result.normalised_square = mean_normalised_square(errors, found, covariance);
  return result;
}

}  // namespace pivotfix::bench
