// SPDX-License-Identifier: Apache-2.0
// A good job with pointer, moving parts, tapes and ride height, beside that of good_job.h; a test file
// includes one of the two.
#pragma once

#include <string>

#include "job_complaints.h"

namespace pivotfix {

// Invented. Line numbers matter to the tests below.
inline const char* const ways_job = R"(side = "left"
layout = "strut"

[[photos]]
files = ["photos/*.jpg"]

[moving]
knuckle = [40, 41, 42]
hub = [45, 46, 47]

[pointer]
tags = [70, 71, 72, 73]
dent = ["pointer/dent*"]

[axes]
floor = [0, 1, 2, 3]
forward = [6, 8, 7]
half_track = 745
half_track_sigma = 3

[hardpoint.lower_arm_front_pivot]
pair = [10, 11]
[hardpoint.lower_arm_rear_pivot]
pair = [12, 13]
[hardpoint.lower_ball_joint]
touches = ["pointer/ball*", ["photos/t1.jpg", "photos/t2.jpg"]]
[hardpoint.strut_top_mount]
at = [10, 560, 690]
sigma = "2 mm"
[hardpoint.strut_axis_low]
pair = [19, 20]
[hardpoint.link_inner_joint]
tag = 15
stand_off = 20
[hardpoint.link_outer_joint]
tag = 16
stand_off = 20
[hardpoint.wheel_centre]
tag = 17
stand_off = 100

[[distance]]
between = [30, "link_inner_joint"]
length = "412 mm"
sigma = "1 mm"

[ride_height]
tag = 35
distance = "372 mm"
stand_off = "45 mm"
sigma = "1.5 mm"
)";

inline std::string with(const std::string& old_part, const std::string& new_part,
                        const std::string& text = ways_job) {
  return replaced_once(text, old_part, new_part);
}

}  // namespace pivotfix
