// SPDX-License-Identifier: Apache-2.0
#include "job/job_parts.h"

namespace pivotfix {
namespace {

PhotoPattern read_pattern(const TomlValue& value) {
  if (value.text().empty()) value.fail("A photo's name is empty.", "Name a photo or a folder.");
  return {value.text(), value.place()};
}

}  // namespace

std::vector<PhotoPattern> read_patterns(const TomlValue& value) {
  std::vector<PhotoPattern> patterns;
  for (const TomlValue& file : value.list()) patterns.push_back(read_pattern(file));
  if (patterns.empty())
    value.fail("\"" + value.key() + "\" names no photo.", "Write it like [\"photos/*.jpg\"].");
  return patterns;
}

void read_positions(const TomlValue& value, const std::string& hardpoint, Job& job) {
  const std::vector<TomlValue> positions = value.list();
  if (positions.empty())
    value.fail("\"" + value.key() + "\" names no photo.",
               "Write it like [\"pointer/" + (hardpoint.empty() ? "dent" : hardpoint) +
                   "*\"]: each folder is one position of the pointer.");
  for (const TomlValue& position : positions)
    job.pointer_photos.push_back({hardpoint, position.is_list()
                                                 ? read_patterns(position)
                                                 : std::vector<PhotoPattern>{read_pattern(position)}});
}

}  // namespace pivotfix
