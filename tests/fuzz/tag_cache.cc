// SPDX-License-Identifier: Apache-2.0
// An entry of the tag cache: as it is, and as what follows a right head and checksum.
#include "job/tag_cache.h"

#include <cstring>

#include "base/checksum.h"
#include "fuzz/fuzz.h"

using namespace pivotfix;

namespace {

const std::string searched_by = "a search";

void read_and_write(const std::string& content, std::size_t photo_bytes) {
  const TagCache::Entry entry = TagCache::entry_from_text(content, searched_by, photo_bytes);
  if (!entry.found) return;
  must_hold(!entry.damaged, "what is used is not damaged");
  for (const Sighting& sighting : entry.found->sightings) {
    must_hold(sighting.tag_number >= 0 && sighting.tag_number < tag_family_size, "a tag is of the family");
    for (const Eigen::Vector2d& corner_px : sighting.corner_px)
      must_hold(corner_px.allFinite(), "corners are finite");
  }
  must_hold(TagCache::entry_text(*entry.found, searched_by, photo_bytes) == content, "an entry comes back");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string text = text_of(data, size);
  read_and_write(text, 3);
  std::uint64_t photo_bytes = 0;
  if (size >= sizeof photo_bytes) std::memcpy(&photo_bytes, data, sizeof photo_bytes);
  read_and_write("pivotfix tags 1\n" + searched_by + "\n" + xxh64(text) + "\n" + text, photo_bytes);
  return 0;
}
