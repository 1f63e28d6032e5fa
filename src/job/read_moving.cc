// SPDX-License-Identifier: Apache-2.0
// What moves: the corner's parts between the heights, and the pointer.
#include <algorithm>
#include <set>

#include "job/job_parts.h"

namespace pivotfix {
namespace {

const Body* body_named(const Job& job, const std::string& name) {
  for (const Body& body : job.question.bodies)
    if (body.name == name) return &body;
  return nullptr;
}

const Body* body_with(const Job& job, int tag) {
  for (const Body& body : job.question.bodies)
    if (std::count(body.tags.begin(), body.tags.end(), tag) > 0) return &body;
  return nullptr;
}

std::string with_article(const Body& body) {
  return "the " + body.name;
}

}  // namespace

void read_moving(const TomlValue& value, Job& job) {
  const TomlTable table = value.table("moving", "[moving]");
  std::set<int> seen;
  for (const TomlValue& part : table.values()) {
    Body body{part.key(), {}};
    for (const TomlValue& tag : part.list()) {
      if (!seen.insert(tag.tag()).second)
        tag.fail("Tag " + std::to_string(tag.tag()) + " sits on two moving parts.", "Name it once.");
      body.tags.push_back(tag.tag());
      job.tag_uses.push_back({tag.tag(), TagRole::moving_part, with_article(body), tag.place()});
    }
    job.question.bodies.push_back(body);
  }
}

void read_pointer(const TomlValue& value, Job& job) {
  const TomlTable table = value.table("pointer", "[pointer]");
  Body pointer{"pointer", {}};
  const TomlValue tags = table.require("tags", "[70, 71, 72, 73]");
  for (const TomlValue& tag : tags.list()) {
    if (const Body* part = body_with(job, tag.tag()))
      tag.fail(
          "Tag " + std::to_string(tag.tag()) + " sits on the pointer and on " + with_article(*part) + ".",
          "Name it once.");
    if (std::count(pointer.tags.begin(), pointer.tags.end(), tag.tag()) > 0)
      tag.fail("\"tags\" names tag " + std::to_string(tag.tag()) + " twice.", "Name it once.");
    pointer.tags.push_back(tag.tag());
    job.tag_uses.push_back({tag.tag(), TagRole::moving_part, with_article(pointer), tag.place()});
  }
  if (pointer.tags.size() < Body::fewest_tags)
    tags.fail("The pointer has " + std::to_string(pointer.tags.size()) + " tags; two are the least.",
              "Four to six on all sides of the stick are better: some always face the camera.");
  job.question.bodies.push_back(pointer);
  read_positions(table.require("dent", "[\"pointer/dent*\"]"), "", job);
}

void check_parts_of_photos(const TomlValue& photos, const Job& job) {
  if (job.question.heights.size() > 1 && job.question.bodies.empty())
    photos.fail("Photos at " + std::to_string(job.question.heights.size()) +
                    " heights, and no part is said to move between them.",
                "Name the tags on knuckle, lower_arm, upper_arm, link and hub in a section [moving], or give "
                "all photos one height.");
  const bool turned = std::any_of(job.photo_sets.begin(), job.photo_sets.end(),
                                  [](const PhotoSet& set) { return !set.part.empty(); });
  for (const char* name : {"hub", "knuckle"})
    if (turned && !body_named(job, name))
      photos.fail("\"hub_turn\" says that the hub was turned, but no tags are named on the " +
                      std::string(name) + ".",
                  "Name them in a section [moving]: the wheel's axis is where the hub turns in the knuckle.");
}

void check_roles_of_moving_tags(const Job& job) {
  for (const TagUse& use : job.tag_uses) {
    const Body* part = body_with(job, use.tag);
    if (!part || use.role == TagRole::moving_part) continue;  // no tag sits on two parts
    if (part->name == "pointer" || use.role != TagRole::other)
      throw Problem(ProblemKind::input,
                    "Tag " + std::to_string(use.tag) + " sits on " + with_article(*part) +
                        ", which moves, so it cannot mark " + use.words + ".",
                    "Name another tag here, or take it out of that part.", use.place);
  }
}

}  // namespace pivotfix
