// SPDX-License-Identifier: Apache-2.0
// Toe, camber and ride height in each photo set. Private to the hardpoints stage.
#pragma once

#include <vector>

#include "hardpoints/pivot_ways.h"
#include "hardpoints/vehicle_axes.h"

namespace pivotfix {

// What all readings need; `covariance` is that of the inputs.
struct ReadingsInput {
  const TracedNetwork& network;
  const HardpointQuestion& question;
  const VehicleAxes& axes;
  const Eigen::MatrixXd& covariance;
  Traced wheel_centre_network{};
};

// One for each height in which the hub was seen; from its spin axis when it was turned, else from the plane
// of its tags. Empty without a body of that name.
std::vector<WheelReading> wheel_readings(const ReadingsInput& input, PivotWays& ways);

// Throws Problem(refused) when the body's tag is not roughly above the hub: the distance would not tell
// height.
std::vector<RideHeightReading> ride_height_readings(const ReadingsInput& input, const PivotWays& ways);

}  // namespace pivotfix
