// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "job/job_parts.h"

namespace pivotfix {

void read_axes(const TomlValue& value, Job& job) {
  const TomlTable table = value.table("axes", "[axes]");
  AxesRecipe& axes = job.question.axes;
  const TomlValue floor = table.require("floor", "[0, 1, 2, 3, 4, 5]");
  for (const TomlValue& tag : floor.list()) {
    if (std::count(axes.floor_tags.begin(), axes.floor_tags.end(), tag.tag()) > 0)
      tag.fail("Tag " + std::to_string(tag.tag()) + " is named twice in \"floor\".", "Name it once.");
    axes.floor_tags.push_back(tag.tag());
    job.tag_uses.push_back({tag.tag(), "a floor tag", tag.place()});
  }
  if (axes.floor_tags.size() < 3)
    floor.fail(
        "The floor needs three tags at least, but here are " + std::to_string(axes.floor_tags.size()) + ".",
        "Six, well spread, are better.");
  if (const auto height = table.find("floor_height")) axes.floor_height_mm = height->length_mm();
  const TomlValue forward = table.require("forward", "[6, 7]");
  std::tie(axes.forward_from, axes.forward_to) = forward.two_tags();
  for (const TomlValue& tag : forward.list())
    job.tag_uses.push_back({tag.tag(), "the forward line", tag.place()});
  axes.forward_sigma_rad = rad_from_deg(0.2);
  if (const auto sigma = table.find("forward_sigma")) {
    axes.forward_sigma_rad = sigma->angle_up_to_rad(rad_from_deg(10.0));
    if (axes.forward_sigma_rad < 0.0) sigma->fail("\"forward_sigma\" must not be negative.", "");
  }
  axes.half_track_mm = table.require("half_track", "\"745 mm\"").length_between_mm(200.0, 1500.0);
}

}  // namespace pivotfix
