// SPDX-License-Identifier: Apache-2.0
// Which car, when, by whom, and the tags that stay on its body.
#include <algorithm>

#include "job/job_parts.h"

namespace pivotfix {
namespace {

bool has_role(const Job& job, int tag, TagRole role) {
  return std::any_of(job.tag_uses.begin(), job.tag_uses.end(),
                     [&](const TagUse& use) { return use.tag == tag && use.role == role; });
}

void read_body_tags(const TomlValue& value, Job& job) {
  for (const TomlValue& entry : value.list()) {
    const int tag = entry.tag();
    const std::string name = "Tag " + std::to_string(tag);
    if (has_role(job, tag, TagRole::body_tag))
      entry.fail(name + " is named twice in \"body_tags\".", "Name it once.");
    if (has_role(job, tag, TagRole::floor))
      entry.fail(name + " lies on the floor, so it does not stay with the car's body.",
                 "Name a tag that stays stuck on the body.");
    job.question.body_tags.push_back(tag);
    job.tag_uses.push_back({tag, TagRole::body_tag, "a body tag", entry.place()});
  }
}

}  // namespace

void read_record(const TomlValue& value, Job& job) {
  const TomlTable table = value.table("record", "[record]");
  if (const auto car = table.find("car")) job.record.car = car->text();
  if (const auto who = table.find("who")) job.record.who = who->text();
  if (const auto date = table.find("date")) {
    job.record.date = date->text();
    if (!is_day(job.record.date)) date->fail("\"date\" is no day.", "Write it like \"2026-05-17\".");
  }
  if (const auto tags = table.find("body_tags")) read_body_tags(*tags, job);
}

}  // namespace pivotfix
