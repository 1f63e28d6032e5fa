// SPDX-License-Identifier: Apache-2.0
#include "lens/lens_file.h"

#include "fuzz/fuzz.h"

using namespace pivotfix;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  LensFile file;
  if (!read_or_complain([&] { file = parse_lens_file(text_of(data, size), "lens.yml"); })) return 0;
  must_hold(file.lens.focal_px() > 0.0 && file.covariance.allFinite(), "a lens that was read can be used");
  // What was accepted once is accepted again, and is the same.
  const std::string written = lens_file_text(file);
  must_hold(lens_file_text(parse_lens_file(written, "lens.yml")) == written, "written lenses read back");
  return 0;
}
