// SPDX-License-Identifier: Apache-2.0
// What of an answer's uncertainty comes from what was measured by hand at each pivot. Private to the stage.
#pragma once

#include <Eigen/Core>
#include <vector>

#include "shots/shots.h"

namespace pivotfix {

// `by_points` are rows over the coordinates of all hardpoints, in the order of the set. Stand-offs, how well
// tags sit centred, tapes and what the axes rest on err independently, so each has its own share in the rows'
// variance, and none of them more than all; so have the scale strips. What all pivots have in common drops
// out as it does in the answer. Shares below a tenth of all are left out.
std::vector<MeasuredByHand> measured_by_hand(const ShotQuestion& question, const Eigen::MatrixXd& by_points);

}  // namespace pivotfix
