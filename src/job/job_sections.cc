// SPDX-License-Identifier: Apache-2.0
#include "job/job.h"

namespace pivotfix {

const std::vector<JobSection>& job_sections() {
  static const std::vector<JobSection> sections = {
      {"", {"title", "side",     "layout",  "units",  "lenses",    "tags",     "photos",
            "scale", "moving",   "pointer", "axes",   "hardpoint", "distance", "ride_height",
            "wheel", "steering", "rod_end", "travel", "readings",  "record"}},
      {"tags", {"side", "sizes"}},
      {"tags.sizes", {"tags", "side"}},
      {"photos", {"height", "files", "steered", "hub_turn"}},
      {"moving",
       {"knuckle", "lower_arm", "lower_front_link", "lower_rear_link", "upper_arm", "upper_front_link",
        "upper_rear_link", "link", "hub"}},
      {"scale", {"between", "length", "sigma"}},
      {"axes",
       {"floor", "floor_height", "floor_sigma", "nose_up", "left_up", "level_sigma", "forward", "forward_tag",
        "forward_sigma", "like_points", "hubs", "like_sigma", "half_track", "half_track_sigma"}},
      {"pointer", {"tags", "dent"}},
      {"hardpoint.NAME",
       {"tag", "stand_off", "offset", "pair", "fraction", "ring", "tube", "touches", "motion", "at", "sigma",
        "centring"}},
      {"distance", {"between", "length", "sigma"}},
      {"ride_height", {"tag", "distance", "photos", "body", "wheel_tag", "stand_off", "sigma"}},
      {"wheel", {"toe", "camber", "rim_diameter"}},
      {"steering", {"inner_joint_travel"}},
      {"rod_end",
       {"mounted", "stud_axis", "between_now", "other_side_now", "spacers", "stack_total",
        "high_misalignment", "stud", "sizes", "steering_lock"}},
      {"rod_end.spacers", {"thickness", "count"}},
      {"rod_end.high_misalignment", {"thickness", "diameter", "on_car"}},
      {"rod_end.stud", {"length", "nut_height", "thread_beyond_nut"}},
      {"rod_end.sizes",
       {"ball_width", "ball_diameter", "housing_width", "bore", "spacer_diameter", "allowed_tilt"}},
      {"travel", {"driving", "bump", "droop", "aim", "weights"}},
      {"travel.weights", {"travel", "weight"}},
      {"readings", {"travel", "travel_sigma", "toe", "sigma", "toe_at_rim", "sigma_at_rim", "from_photos"}},
      {"record", {"car", "date", "who", "body_tags"}},
      {"known-lengths", {"length"}},  // a file of its own
      {"length", {"between", "is", "sigma", "line"}},
  };
  return sections;
}

}  // namespace pivotfix
