// SPDX-License-Identifier: Apache-2.0
// What becomes of a board's points while the lens is found from them. Private to the network stage.
#pragma once

#include <vector>

#include "bundle/bundle.h"
#include "network/calibrate_lens.h"

namespace pivotfix {

// Every point as good as in the same place: a copy of the file, which says nothing new of the lens but would
// make it seem better known.
bool shows_the_same_picture(const BoardView& a, const BoardView& b);

// A tag's centre is where its diagonals cross on paper. Straight lines along edges that the lens has bent
// cross elsewhere, by up to a third of a pixel: the points of views with sightings become the centres through
// the bundle's lens. Observation i is of view i. False when no view has sightings.
bool take_centres_through_lens(const std::vector<BoardView>& views, Bundle& bundle);

// Takes single points out of the view's adjusted observation that miss by five times what its middle one
// does: a tag under a finger, a corner in a reflection. One of ten points or more, one in forty of many; what
// misses in more points than that is judged as a whole. False when there was none.
bool leave_out_bad_points(const BoardView& view, const Bundle& bundle, BundleObservation& observation);

}  // namespace pivotfix
