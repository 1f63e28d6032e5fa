// SPDX-License-Identifier: Apache-2.0
// What a photo looks like that was stored a second time. Private to the network stage.
#pragma once

#include <Eigen/Core>

namespace pivotfix {

// As good as in the same place of two photos: stored anew by a program that packs it again, a photo's points
// move by less; a hand that holds a phone moves them by many pixels.
inline bool as_in_a_copy(const Eigen::Vector2d& one_px, const Eigen::Vector2d& other_px) {
  constexpr double copied_px = 0.1;
  return (one_px - other_px).norm() < copied_px;
}

}  // namespace pivotfix
