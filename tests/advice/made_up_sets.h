// SPDX-License-Identifier: Apache-2.0
// Hardpoints of a parallelogram whose right answer is known without solving, and questions in few words.
#pragma once

#include "advice/advice.h"
#include "advice/height.h"
#include "corner/example_corners.h"

namespace pivotfix {

// The outer end `high_mm` too high, everything else perfect.
inline HardpointSet high_set(double high_mm) {
  Parallelogram high;
  high.outer_high_mm = high_mm;
  return high.set();
}

inline HardpointSet with_sigma(HardpointSet set, double sigma_mm) {
  const Eigen::Index n = static_cast<Eigen::Index>(3 * set.points.size());
  set.covariance_mm2 = sigma_mm * sigma_mm * Eigen::MatrixXd::Identity(n, n);
  return set;
}

// A link of 120 mm with its outer end too high: free over 127 mm of droop as it is, but some 13 mm lower,
// where toe changes least, it is stretched out and locks after 112 mm.
inline HardpointSet short_link_set() {
  return set_from(Layout::strut, {{215, 541, 239},
                                  {-184, 545, 240},
                                  {1, 691, 205},
                                  {-14, 513, 867},
                                  {1, 691, 205},
                                  {126, 571, 224},
                                  {114, 690, 223},
                                  {0, 774, 325}});
}

// Over a travel that counts evenly.
inline BestHeight best_height(const Corner& corner, const Travel& travel) {
  return least_squares_height(corner, {"", travel, {}});
}
inline Advice advise(const HardpointSet& set, const RodEnd& rod_end, const Travel& travel) {
  return advise({set, rod_end, {"", travel, {}}, {}});
}

}  // namespace pivotfix
