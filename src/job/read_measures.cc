// SPDX-License-Identifier: Apache-2.0
// What was measured by tape: distances, and the ride height.
#include <algorithm>

#include "base/suggestion.h"
#include "job/job_parts.h"

namespace pivotfix {
namespace {

constexpr double longest_tape_mm = 3000.0;

// A hardpoint's name; empty when the value is a tag's number.
std::string hardpoint_of(const TomlValue& end, const Job& job) {
  if (end.is_whole_number()) return "";
  const std::vector<std::string>& names = hardpoint_names(job.question.layout);
  std::string name = end.text();
  if (std::find(names.begin(), names.end(), name) == names.end())
    end.fail(
        "\"" + name + "\" is no hardpoint of the " + std::string(name_of(job.question.layout)) + " layout.",
        suggestion(name, names));
  return name;
}

MeasuredDistance read_distance(const TomlTable& table, Job& job) {
  const TomlValue between = table.require("between", "[\"link_inner_joint\", \"link_outer_joint\"]");
  std::vector<TomlValue> ends = between.list_of(2);
  if (ends[0].is_whole_number()) std::swap(ends[0], ends[1]);
  MeasuredDistance tape;
  tape.from = hardpoint_of(ends[0], job);
  if (tape.from.empty())
    between.fail("Both ends of this distance are tags.",
                 "A distance between tags belongs under [[scale]]; here one end is a hardpoint.");
  tape.to = hardpoint_of(ends[1], job);
  if (tape.to.empty()) {
    tape.to_tag = ends[1].tag();
    job.tag_uses.push_back({tape.to_tag, TagRole::other, "the distance to " + tape.from, ends[1].place()});
  }
  if (tape.from == tape.to)
    between.fail("\"between\" names " + tape.from + " twice.", "It needs two different ends.");
  tape.length_mm = table.require("length", "\"412 mm\"").length_between_mm(1.0, longest_tape_mm);
  tape.sigma_mm = table.require("sigma", "\"1 mm\"").positive_length_mm();
  return tape;
}

// From photos with the wheel on: a tag on the wheel's cap, tags on the body to tie them to the other photos.
void read_wheel_on(const TomlTable& table, RideHeightRecipe& recipe, Job& job) {
  const TomlValue photos = table.require("photos", "[\"wheel-on/*.jpg\"]");
  if (table.find("distance"))
    photos.fail("\"photos\" does not go with \"distance\" in [ride_height].", "Keep one of the two.");
  for (const std::string& height : job.question.heights)
    if (height == wheel_on_height)
      photos.fail("\"" + height + "\" is also a height under [[photos]].", "Give that height another name.");
  WheelOnPhotos wheel_on{read_patterns(photos), {}};
  const TomlValue wheel_tag = table.require("wheel_tag", "48");
  recipe.wheel_set = wheel_on_height;
  recipe.wheel_tag = wheel_tag.tag();
  recipe.stand_off_mm = table.require("stand_off", "\"40 mm\"").length_mm();
  const TomlValue body = table.require("body", "[30, 31, 32, 33]");
  for (const TomlValue& tag : body.list()) {
    wheel_on.tags.insert(tag.tag());
    job.tag_uses.push_back({tag.tag(), TagRole::wheel_on_body, "the body", tag.place()});
  }
  wheel_on.tags.insert(recipe.body_tag);
  if (wheel_on.tags.size() < 3)
    body.fail("\"body\" and \"tag\" name " + std::to_string(wheel_on.tags.size()) +
                  " tags on the body; three are the least.",
              "They tie the photos with the wheel on to the others: stick more on the wing and the sill.");
  if (!wheel_on.tags.insert(recipe.wheel_tag).second)
    wheel_tag.fail("Tag " + std::to_string(recipe.wheel_tag) + " is on the wheel and on the body.",
                   "Stick a tag of its own on the wheel's cap.");
  job.tag_uses.push_back({recipe.wheel_tag, TagRole::other, "the wheel's cap", wheel_tag.place()});
  job.wheel_on_photos = std::move(wheel_on);
}

}  // namespace

void read_distances(const TomlValue& value, Job& job) {
  for (const TomlTable& table : value.tables("distance", "[[distance]]"))
    job.question.distances.push_back(read_distance(table, job));
}

void read_ride_height(const TomlValue& value, Job& job) {
  const TomlTable table = value.table("ride_height", "[ride_height]");
  RideHeightRecipe recipe;
  const TomlValue tag = table.require("tag", "35");
  recipe.body_tag = tag.tag();
  job.tag_uses.push_back({tag.tag(), TagRole::ride_height, "the ride height", tag.place()});
  for (const Body& body : job.question.bodies)
    if (std::count(body.tags.begin(), body.tags.end(), recipe.body_tag) > 0)
      tag.fail("Tag " + std::to_string(recipe.body_tag) + " sits on the " + body.name +
                   ", so it does not tell the ride height.",
               "Name a tag on the body above the wheel.");
  if (table.find("photos")) {
    read_wheel_on(table, recipe, job);
    recipe.sigma_mm = 0.5;
    if (const auto sigma = table.find("sigma")) recipe.sigma_mm = sigma->sigma_mm();
  } else {
    for (const char* key : {"body", "wheel_tag"})
      if (const auto extra = table.find(key))
        extra->fail("\"" + std::string(key) + "\" needs photos with the wheel on in [ride_height].",
                    "Add photos = [\"wheel-on/*.jpg\"], or take it out.");
    recipe.recorded_mm = table.require("distance", "\"372 mm\"").length_between_mm(50.0, 1500.0);
    recipe.sigma_mm = table.require("sigma", "\"1 mm\"").positive_length_mm();
    if (const auto stand_off = table.find("stand_off")) recipe.stand_off_mm = stand_off->length_mm();
  }
  job.question.ride_height = recipe;
}

}  // namespace pivotfix
