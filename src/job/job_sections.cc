// SPDX-License-Identifier: Apache-2.0
#include "job/job.h"

namespace pivotfix {

const std::vector<JobSection>& job_sections() {
  static const std::vector<JobSection> sections = {
      {"",
       {"title", "side", "layout", "units", "tags", "photos", "scale", "axes", "hardpoint", "wheel",
        "rod_end", "travel"}},
      {"tags", {"side", "sizes"}},
      {"tags.sizes", {"tags", "side"}},
      {"photos", {"height", "files"}},
      {"scale", {"between", "length", "sigma"}},
      {"axes", {"floor", "floor_height", "forward", "forward_sigma", "half_track"}},
      {"hardpoint.NAME", {"tag", "stand_off", "offset", "pair", "fraction", "at", "sigma"}},
      {"wheel", {"toe", "camber", "rim_diameter"}},
      {"rod_end", {"mounted", "stud_axis", "between_now", "spacers"}},
      {"rod_end.spacers", {"thickness", "count"}},
      {"travel", {"bump", "droop"}},
  };
  return sections;
}

}  // namespace pivotfix
