// SPDX-License-Identifier: Apache-2.0
#include "network/board_points.h"

#include "network/corners.h"

namespace pivotfix {

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
