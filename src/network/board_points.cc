// SPDX-License-Identifier: Apache-2.0
#include "network/board_points.h"

#include <algorithm>

#include "base/median.h"
#include "network/copied_photo.h"
#include "network/corners.h"

namespace pivotfix {

namespace {

std::size_t most_bad_points(std::size_t points) {
  return points < 10 ? 0 : std::max<std::size_t>(1, points / 40);
}

std::vector<double> misses_px(const Bundle& bundle, const BundleObservation& observation) {
  const Eigen::VectorXd residuals = residuals_px(bundle, observation);
  std::vector<double> misses;
  for (Eigen::Index point = 0; 2 * point < residuals.size(); ++point)
    misses.push_back(residuals.segment<2>(2 * point).norm());
  return misses;
}

std::vector<std::size_t> bad_points(const std::vector<double>& misses) {
  constexpr double too_far = 5.0;  // by chance one of 30 million (Rayleigh's distribution)
  std::vector<double> all = misses;
  const double limit_px = too_far * median(all);
  std::vector<std::size_t> bad;
  for (std::size_t point = 0; point < misses.size(); ++point)
    if (misses[point] > limit_px) bad.push_back(point);
  return bad;
}

// All points of a board weigh alike, so that the weights of the first ones are those of any.
void take_out(std::size_t point, BundleObservation& observation) {
  const auto place = static_cast<std::ptrdiff_t>(point);
  observation.points_px.erase(observation.points_px.begin() + place);
  observation.points_target_mm.erase(observation.points_target_mm.begin() + place);
  const auto width = 2 * static_cast<Eigen::Index>(observation.points_px.size());
  observation.square_root_information =
      observation.square_root_information.topLeftCorner(width, width).eval();
}

}  // namespace

bool shows_the_same_picture(const BoardView& a, const BoardView& b) {
  if (a.points_board_mm != b.points_board_mm) return false;
  for (std::size_t i = 0; i < a.points_px.size(); ++i)
    if (!as_in_a_copy(a.points_px[i], b.points_px[i])) return false;
  return true;
}

bool take_centres_through_lens(const std::vector<BoardView>& views, Bundle& bundle) {
  bool any = false;
  for (std::size_t i = 0; i < views.size(); ++i) {
    const BundleStation& station = bundle.stations[bundle.observations[i].station];
    for (std::size_t point = 0; point < views[i].sightings.size(); ++point) {
      any = true;
      const auto centre =
          measure_centre(views[i].sightings[point], bundle.lenses[station.lens].lens, station.shift);
      if (centre) bundle.observations[i].points_px[point] = *centre;
    }
  }
  return any;
}

bool leave_out_bad_points(const BoardView& view, const Bundle& bundle, BundleObservation& observation) {
  const std::vector<std::size_t> bad = bad_points(misses_px(bundle, observation));
  const std::size_t all = view.points_px.size();
  if (bad.empty() || all - observation.points_px.size() + bad.size() > most_bad_points(all)) return false;
  for (auto point = bad.rbegin(); point != bad.rend(); ++point) take_out(*point, observation);
  return true;
}

}  // namespace pivotfix
