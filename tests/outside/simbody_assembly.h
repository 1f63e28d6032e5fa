// SPDX-License-Identifier: Apache-2.0
// One corner assembled by Simbody. Plain types only: Simbody's headers need C++17, ours C++20.
#pragma once

#include <array>
#include <map>
#include <string>

namespace pivotfix {

using NamedPoints = std::map<std::string, std::array<double, 3>>;

// Takes knuckle points from their place at ride height to where they are: rotation (row by row), then shift.
struct KnucklePose {
  std::array<std::array<double, 3>, 3> rotation{};
  std::array<double, 3> shift_mm{};
};

// The knuckle after the wheel centre rose by `travel_mm` and the inner link joint moved by `rack_mm` along
// `rack_axis`. The points' names say what holds it: a strut_top_mount a strut, lower_arm_* and upper_arm_*
// hinged arms, lower_*_link_* and upper_*_link_* links.
KnucklePose knuckle_by_simbody(const NamedPoints& points, double travel_mm, double rack_mm = 0.0,
                               const std::array<double, 3>& rack_axis = {0.0, 1.0, 0.0});

// Takes a part's points from where they are in the car at ride height to where they came.
struct PartPose {
  std::array<double, 9> rotation{};  // by rows
  std::array<double, 3> translation{};
  std::array<double, 3> operator()(const std::array<double, 3>& point) const;
};

// "knuckle" and, where there are any, "lower_arm" and "upper_arm".
std::map<std::string, PartPose> parts_by_simbody(const NamedPoints& points, double travel_mm,
                                                 double rack_mm = 0.0);

// The spin axis after the wheel centre rose by `travel_mm`.
std::array<double, 3> spin_axis_by_simbody(const NamedPoints& points,
                                           const std::array<double, 3>& spin_at_ride, double travel_mm);

}  // namespace pivotfix
