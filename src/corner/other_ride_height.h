// SPDX-License-Identifier: Apache-2.0
// at_other_ride_height (corner.h) with its derivatives, for what stands beside the corner's own covariance.
#pragma once

#include <Eigen/Core>

#include "corner/corner.h"

namespace pivotfix {

struct OtherRideHeight {
  Corner corner{};                  // without covariance
  Eigen::MatrixXd by_coordinate{};  // of its coordinates, by those of the corner that it was made from, mm/mm
  Eigen::VectorXd by_travel{};      // by the travel, mm/mm
};

// By the implicit function theorem, exact. Throws Problem(refused) where the arms lock before.
OtherRideHeight other_ride_height(const Corner& corner, double travel_mm, Kept kept);

}  // namespace pivotfix
