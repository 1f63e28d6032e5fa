// SPDX-License-Identifier: Apache-2.0
// One corner assembled by Simbody. Plain types only: Simbody's headers need C++17, ours C++20.
#pragma once

#include <array>
#include <map>
#include <string>

namespace pivotfix {

using NamedPoints = std::map<std::string, std::array<double, 3>>;

// The spin axis after the wheel centre rose by `travel_mm`. A corner with a strut_top_mount is a strut.
std::array<double, 3> spin_axis_by_simbody(const NamedPoints& points,
                                           const std::array<double, 3>& spin_at_ride, double travel_mm);

}  // namespace pivotfix
