// SPDX-License-Identifier: Apache-2.0
// What of an answer's uncertainty comes from what was measured by hand at each pivot. Private to the stage.
#pragma once

#include <Eigen/Core>
#include <vector>

#include "shots/shots.h"

namespace pivotfix {

// `by_points` are rows over the coordinates of all hardpoints, in the order of the set. The points'
// covariance without what the tags bring is that of stand-offs, tape and axes; a pivot's share in the rows'
// variance is its coordinates' covariance with the whole, so that an error which all pivots have in common
// drops out as it does in the answer. Shares below a tenth of all are left out. Of a tag's stand-off and how
// well it sits centred, the larger is named, with its part of the share.
std::vector<MeasuredByHand> measured_by_hand(const ShotQuestion& question, const Eigen::MatrixXd& by_points);

}  // namespace pivotfix
