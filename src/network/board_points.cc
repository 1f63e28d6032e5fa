// SPDX-License-Identifier: Apache-2.0
#include "network/board_points.h"

#include "network/corners.h"

namespace pivotfix {

bool shows_the_same_picture(const BoardView& a, const BoardView& b) {
  constexpr double copied_px =
      0.1;  // stored anew, a JPEG moves points by less; a hand moves them by many pixels
  if (a.points_board_mm != b.points_board_mm) return false;
  for (std::size_t i = 0; i < a.points_px.size(); ++i)
    if ((a.points_px[i] - b.points_px[i]).norm() > copied_px) return false;
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

}  // namespace pivotfix
