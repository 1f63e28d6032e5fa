// SPDX-License-Identifier: Apache-2.0
// What the page's scripts work on, as JSON: texts and states that the program solved ahead. Angles in
// degrees, lengths in millimetres, vehicle axes of the real side.
#pragma once

#include <nlohmann/json.hpp>
#include <string>

#include "report/report.h"

namespace pivotfix::report {

// Empty without an exploration.
std::string page_data(const ReportInput& input);

// Points, links, error ellipsoids, tags, stations, and where the points stand at each travel.
nlohmann::ordered_json space_data(const ReportInput& input);

// So many times as large are the error ellipsoids drawn; 0: there are none.
double ellipsoid_enlargement(const HardpointSet& hardpoints);

}  // namespace pivotfix::report
