// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "job/job_parts.h"

namespace pivotfix {
namespace {

void read_floor(const TomlTable& table, Job& job) {
  AxesRecipe& axes = job.question.axes;
  const TomlValue floor = table.require("floor", "[0, 1, 2, 3, 4, 5]");
  for (const TomlValue& tag : floor.list()) {
    if (std::count(axes.floor_tags.begin(), axes.floor_tags.end(), tag.tag()) > 0)
      tag.fail("Tag " + std::to_string(tag.tag()) + " is named twice in \"floor\".", "Name it once.");
    axes.floor_tags.push_back(tag.tag());
    job.tag_uses.push_back({tag.tag(), TagRole::floor, "a floor tag", tag.place()});
  }
  if (axes.floor_tags.size() < AxesRecipe::fewest_floor_tags)
    floor.fail(
        "The floor needs three tags at least, but here are " + std::to_string(axes.floor_tags.size()) + ".",
        "Six, well spread, are better.");
  if (const auto height = table.find("floor_height")) axes.floor_height_mm = height->length_mm();
  constexpr double paper_and_tape_mm = 0.05;  // common practice
  const auto sigma = table.find("floor_sigma");
  axes.floor_sigma_mm = sigma ? sigma->sigma_mm() : paper_and_tape_mm;
}

// Said in whole: a sigma alone has nothing to be of.
void read_level(const TomlTable& table, AxesRecipe& axes) {
  const auto nose_up = table.find("nose_up"), left_up = table.find("left_up"),
             sigma = table.find("level_sigma");
  if (!nose_up && !left_up) {
    if (sigma) sigma->fail("\"level_sigma\" stands without \"nose_up\" or \"left_up\".", "Give one of them.");
    return;
  }
  const double most_rad = rad_from_deg(15.0);
  BodyLevel& level = axes.level.emplace();
  if (nose_up) level.nose_up_rad = nose_up->angle_up_to_rad(most_rad);
  if (left_up) level.left_up_rad = left_up->angle_up_to_rad(most_rad);
  constexpr double sill_to_some_mm_rad = 0.1 * rad_per_deg;  // 5 mm over a wheelbase
  level.sigma_rad = sigma ? sigma->angle_up_to_rad(most_rad) : sill_to_some_mm_rad;
  if (level.sigma_rad < 0.0) sigma->fail("\"level_sigma\" must not be negative.", "");
}

// Which of the ways to tell the car's length and centre plane the table takes, and what goes with it.
struct LengthwiseKeys {
  const char* main;
  std::vector<std::string_view> may_have;
};

const std::vector<LengthwiseKeys>& lengthwise_ways() {
  static const std::vector<LengthwiseKeys> all = {
      {"forward", {"forward", "forward_sigma", "half_track", "half_track_sigma"}},
      {"forward_tag", {"forward_tag", "forward_sigma", "half_track", "half_track_sigma"}},
      {"like_points", {"like_points", "like_sigma"}},
      {"hubs", {"hubs", "like_sigma"}}};
  return all;
}

std::string lengthwise_way_of(const TomlTable& table) {
  for (const LengthwiseKeys& way : lengthwise_ways()) {
    if (!table.find(way.main)) continue;
    for (const TomlValue& value : table.values()) {
      const bool of_any = value.key().starts_with("floor") || value.key() == "nose_up" ||
                          value.key() == "left_up" || value.key() == "level_sigma";
      if (!of_any && std::find(way.may_have.begin(), way.may_have.end(), value.key()) == way.may_have.end())
        value.fail("\"" + value.key() + "\" does not go with \"" + way.main + "\" in [axes].",
                   "Keep one of the two.");
    }
    return way.main;
  }
  return "forward";
}

// All of a list, each once, not on the floor's list.
std::vector<int> different_tags(const TomlValue& value, TagRole role, const std::string& words, Job& job) {
  std::vector<int> tags;
  for (const TomlValue& tag : value.list()) {
    if (std::count(tags.begin(), tags.end(), tag.tag()) > 0)
      tag.fail("\"" + value.key() + "\" names tag " + std::to_string(tag.tag()) + " twice.",
               "It needs different tags.");
    tags.push_back(tag.tag());
    job.tag_uses.push_back({tag.tag(), role, words, tag.place()});
  }
  return tags;
}

void read_forward_line(const TomlTable& table, Job& job) {
  AxesRecipe& axes = job.question.axes;
  const TomlValue forward = table.require("forward", "[6, 7]");
  const std::vector<int> tags = different_tags(forward, TagRole::forward_line, "the forward line", job);
  if (tags.size() < 2)
    forward.fail("A forward line needs two tags, but here are " + std::to_string(tags.size()) + ".",
                 "Name the rear one first.");
  axes.forward_from = tags.front();
  axes.forward_to = tags.back();
  axes.forward_between.assign(tags.begin() + 1, tags.end() - 1);
}

void read_forward_tag(const TomlTable& table, Job& job) {
  const TomlValue tag = table.require("forward_tag", "6");
  job.question.axes.forward_tag = tag.tag();
  job.tag_uses.push_back({tag.tag(), TagRole::forward_direction, "the forward direction", tag.place()});
  table.require("forward_sigma", "0.5");  // nothing is usual here
}

void read_forward_sigma(const TomlTable& table, AxesRecipe& axes) {
  axes.forward_sigma_rad = rad_from_deg(0.2);
  const auto sigma = table.find("forward_sigma");
  if (!sigma) return;
  axes.forward_sigma_rad = sigma->angle_up_to_rad(rad_from_deg(10.0));
  if (axes.forward_sigma_rad < 0.0) sigma->fail("\"forward_sigma\" must not be negative.", "");
}

void read_half_track(const TomlTable& table, AxesRecipe& axes) {
  axes.half_track_mm = table.require("half_track", "\"745 mm\"").length_between_mm(200.0, 1500.0);
  if (const auto sigma = table.find("half_track_sigma")) axes.half_track_sigma_mm = sigma->sigma_mm();
}

void read_like_points(const TomlTable& table, Job& job) {
  const TomlValue pairs = table.require("like_points", "[[30, 40], [31, 41]]");
  std::vector<int> taken;
  for (const TomlValue& pair : pairs.list()) {
    const auto [left, right] = pair.two_tags();
    job.question.axes.like_points.emplace_back(left, right);
    for (const TomlValue& tag : pair.list()) {
      if (std::count(taken.begin(), taken.end(), tag.tag()) > 0)
        tag.fail("\"like_points\" names tag " + std::to_string(tag.tag()) + " twice.",
                 "Each tag has one like it on the other side.");
      taken.push_back(tag.tag());
      job.tag_uses.push_back({tag.tag(), TagRole::like_point, "a like point", tag.place()});
    }
  }
  if (taken.empty())
    pairs.fail("\"like_points\" names no pair.", "Write it like [[30, 40], [31, 41]], the left one first.");
}

void read_hubs(const TomlTable& table, Job& job) {
  const TomlValue hubs = table.require("hubs", "[17, 47, 57, 58]");
  const std::vector<int> tags = different_tags(hubs, TagRole::other, "a hub", job);
  if (tags.size() != 4)
    hubs.fail("\"hubs\" needs four tags, but here are " + std::to_string(tags.size()) + ".",
              "Front left, front right, rear left, rear right.");
  job.question.axes.hubs = {tags[0], tags[1], tags[2], tags[3]};
}

}  // namespace

void read_axes(const TomlValue& value, Job& job) {
  const TomlTable table = value.table("axes", "[axes]");
  AxesRecipe& axes = job.question.axes;
  read_floor(table, job);
  read_level(table, axes);
  const std::string way = lengthwise_way_of(table);
  if (way == "like_points" || way == "hubs") {
    way == "hubs" ? read_hubs(table, job) : read_like_points(table, job);
    axes.like_sigma_mm = table.require("like_sigma", "\"2 mm\"").positive_length_mm();
    return;
  }
  way == "forward" ? read_forward_line(table, job) : read_forward_tag(table, job);
  read_forward_sigma(table, axes);
  read_half_track(table, axes);
}

}  // namespace pivotfix
