// SPDX-License-Identifier: Apache-2.0
// A job in which nothing is wrong, to be changed in one place at a time.
#pragma once

#include <string>

#include "job_complaints.h"

namespace pivotfix {

// Invented. Line numbers matter to the tests below.
inline const char* const good_job = R"(title = "front left"
side = "left"
layout = "strut"
units = "mm"

[tags]
side = 40
sizes = [{ tags = [60, 61], side = "60 mm" }]

[[photos]]
height = "ride"
files = ["photos/*.jpg"]

[[scale]]
between = [60, 61]
length = "249.6 mm"
sigma = "0.05 mm"

[axes]
floor = [0, 1, 2, 3]
floor_height = 0.5
forward = [6, 7]
forward_sigma = "6 min"
half_track = "29.5 in"

[hardpoint.lower_arm_front_pivot]
pair = [10, 11]
fraction = 0.25
[hardpoint.lower_arm_rear_pivot]
pair = [12, 13]
[hardpoint.lower_ball_joint]
tag = 14
stand_off = "26 mm"
sigma = 0.3
[hardpoint.strut_top_mount]
at = [10, 560, 690]
sigma = "2 mm"
[hardpoint.strut_axis_low]
pair = [19, 20]
[hardpoint.link_inner_joint]
tag = 15
offset = [1, -2, -30]
[hardpoint.link_outer_joint]
tag = 16
stand_off = 20
[hardpoint.wheel_centre]
tag = 17
stand_off = 100

[wheel]
toe = "6 min"
camber = -1.5
rim_diameter = "16 in"

[rod_end]
mounted = "above-arm"
stud_axis = [0, 3, 4]
between_now = ["0.120 in"]
spacers = [{ thickness = "0.200 in", count = 2 }, { thickness = 1.5 }]

[travel]
bump = 30
droop = "1 in"
)";

inline std::string with(const std::string& old_part, const std::string& new_part) {
  return replaced_once(good_job, old_part, new_part);
}

}  // namespace pivotfix
