// SPDX-License-Identifier: Apache-2.0
#include "network/bent_tags.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>
#include <vector>

#include "base/median.h"
#include "network/outliers.h"

namespace pivotfix {

namespace {

using Eigen::Vector2d;

struct Bow {
  double share = 0.0;  // of the edge's length
  double px = 0.0;
};

// Of a parabola through the points, least squares: how far its middle lies off the line through its ends,
// less what the points' own scatter makes of a straight edge.
Bow bow_of_edge(const std::vector<Vector2d>& points, double focal_px) {
  constexpr std::size_t fewest_points = 12;
  constexpr double standard_errors = 3.0;
  if (points.size() < fewest_points) return {};
  const Vector2d chord = points.back() - points.front();
  const double length = chord.norm();
  if (length <= 0.0) return {};
  const Vector2d along = chord / length, across(-along.y(), along.x());
  Eigen::Matrix3d normal = Eigen::Matrix3d::Zero();
  Eigen::Vector3d right = Eigen::Vector3d::Zero();
  double squares = 0.0;
  for (const Vector2d& point : points) {
    const double place = 2.0 * along.dot(point - points.front()) / length - 1.0;  // from -1 to 1
    const double off = across.dot(point - points.front());
    const Eigen::Vector3d row(1.0, place, place * place);
    normal += row * row.transpose();
    right += off * row;
    squares += off * off;
  }
  const Eigen::Matrix3d inverse = normal.ldlt().solve(Eigen::Matrix3d::Identity());
  const Eigen::Vector3d parabola = inverse * right;
  const double variance =
      std::max(0.0, squares - parabola.dot(right)) / (static_cast<double>(points.size()) - 3.0);
  const double bow = std::abs(parabola[2]) - standard_errors * std::sqrt(variance * inverse(2, 2));
  return bow > 0.0 ? Bow{bow / length, bow * focal_px} : Bow{};
}

Bow bow_of_sighting(const Sighting& sighting, const Lens& lens, const PhotoShift& shift) {
  Bow most;
  for (const auto& edge : sighting.edge_points) {
    std::vector<Vector2d> straight;
    for (const EdgePoint& point : edge)
      if (const auto direction = direction_from_pixel(lens, shift, point.point_px))
        straight.push_back(*direction);
    const Bow bow = bow_of_edge(straight, lens.focal_px());
    if (bow.share > most.share) most = bow;
  }
  return most;
}

}  // namespace

double bow_of_tag(const StartedBundle& started, std::size_t target) {
  constexpr std::size_t fewest_sightings = 3;
  constexpr double least_share = 0.005;
  constexpr double least_px = 0.3, of_blur = 0.2,
                   usual_blur_px = 1.0;  // blurred edges bow near their corners
  std::vector<double> shares, bows_px;
  for (std::size_t i = 0; i < started.used.size(); ++i) {
    const BundleObservation& observation = started.bundle.observations[i];
    if (observation.target != static_cast<int>(target) || started.used[i].fate == Fate::misfits_with_photo)
      continue;
    const BundleStation& station = started.bundle.stations[observation.station];
    const Bow bow =
        bow_of_sighting(*started.used[i].sighting, started.bundle.lenses[station.lens].lens, station.shift);
    shares.push_back(bow.share);
    const double blur_px = started.used[i].sighting->blur_px;
    bows_px.push_back(bow.px - of_blur * std::max(0.0, blur_px - usual_blur_px));
  }
  if (shares.size() < fewest_sightings) return 0.0;
  const double share = median(shares);
  return share >= least_share && median(bows_px) >= least_px ? share : 0.0;
}

}  // namespace pivotfix
