// SPDX-License-Identifier: Apache-2.0
// How the wheel stood in each set of photos, and what the car's axes rest on: for the page and the terminal.
#pragma once

#include <string>

#include "page/markup.h"
#include "report/report.h"
#include "report/tables.h"

namespace pivotfix::report {

// Photos / hub to body / recorded / wheel stands.
Rows ride_height_rows(const PhotoSetFigures& figures, LengthUnit unit);

// Photos / wheel's rise / toe / camber.
Rows wheel_rows(const PhotoSetFigures& figures, LengthUnit unit);

// "The car's centre plane lies ..."; "One degree of slope of the floor across the car ..."
std::string centre_plane_sentence(const PhotoSetFigures& figures);
std::string floor_slope_sentence(const PhotoSetFigures& figures);

// All of it; empty when there are no figures.
Markup photo_sets_section(const ReportInput& input);

}  // namespace pivotfix::report
