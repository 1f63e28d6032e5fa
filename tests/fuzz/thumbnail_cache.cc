// SPDX-License-Identifier: Apache-2.0
// An entry of the thumbnails kept beside a job: as it is, and as what follows a right head and checksum.
#include "job/thumbnail_cache.h"

#include <cmath>

#include "base/checksum.h"
#include "fuzz/fuzz.h"

using namespace pivotfix;

namespace {

const std::string made_by = "code 1";
const ThumbnailOptions options{640, 2000};
constexpr std::uint64_t photo_bytes = 3;

void read_and_write(const std::string& content) {
  const std::optional<Thumbnail> thumbnail =
      ThumbnailCache::entry_from_text(content, made_by, photo_bytes, options);
  if (!thumbnail) return;
  must_hold(std::isfinite(thumbnail->scale) && thumbnail->scale > 0.0, "arrows can be drawn to scale");
  must_hold(thumbnail->width_px <= options.longest_px && thumbnail->height_px <= options.longest_px,
            "it is no larger than asked for");
  must_hold(thumbnail->jpeg.size() <= options.most_bytes, "the report grows no larger than planned");
  must_hold(ThumbnailCache::entry_text(*thumbnail, made_by, photo_bytes, options) == content,
            "an entry comes back");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string text = text_of(data, size);
  read_and_write(text);
  read_and_write("pivotfix thumbnail 1\n" + made_by + "\n" + xxh64(text) + "\n" + text);
  return 0;
}
