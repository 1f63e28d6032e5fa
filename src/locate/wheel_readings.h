// SPDX-License-Identifier: Apache-2.0
// Toe, camber and ride height in each photo set. Private to the locate stage.
#pragma once

#include <vector>

#include "locate/pivot_ways.h"
#include "locate/vehicle_axes.h"

namespace pivotfix {

// What all readings need; `covariance` is that of the inputs.
struct ReadingsInput {
  const TracedNetwork& network;
  const HardpointQuestion& question;
  const VehicleAxes& axes;
  const Eigen::MatrixXd& covariance;
  Traced wheel_centre_network{};
};

struct WheelReadings {
  std::vector<WheelReading> readings{};
  std::vector<std::string> notes{};  // for people: heights left out, and why
};

// One for each height in which the wheel's carrier was seen: the knuckle, or without tags on one the hub. It
// carries the wheel's axis from the reference height: the spin axis when the hub was turned, else what is
// square to the plane of its tags there. A hub alone that rolled between two heights carries its runout with
// it: left out. None without a body of that name, or with fewer than three tags on it.
WheelReadings wheel_readings(const ReadingsInput& input, PivotWays& ways);

// Throws Problem(refused) when the body's tag is not roughly above the hub: the distance would not tell
// height.
std::vector<RideHeightReading> ride_height_readings(const ReadingsInput& input, const PivotWays& ways);

}  // namespace pivotfix
