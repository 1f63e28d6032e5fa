// SPDX-License-Identifier: Apache-2.0
// What to draw between hardpoints, in any view and for every layout.
#pragma once

#include <string>
#include <vector>

#include "hardpoints/hardpoint_set.h"

namespace pivotfix {

// From one point of the set to another, by their indices.
struct Bar {
  std::size_t from = 0;
  std::size_t to = 0;
  const char* kind = "arm";  // "arm" (struts and links of the suspension too), "link" (steering), "knuckle"
  std::string words{};       // "lower arm"; empty for the knuckle
};

// Bars whose ends are there.
std::vector<Bar> bars_of(const HardpointSet& set);

// Pivots, inner joints and the strut's top stay on the body, all other points belong to the knuckle.
bool stays_on_body(const std::string& hardpoint_name);

}  // namespace pivotfix
