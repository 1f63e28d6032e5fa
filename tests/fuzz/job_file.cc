// SPDX-License-Identifier: Apache-2.0
// The readers of TOML: the job file and the file of known lengths.
#include "fuzz/fuzz.h"
#include "job/job.h"

using namespace pivotfix;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string text = text_of(data, size);
  read_or_complain([&] {
    const Job job = job_from_text(text, "job.toml");
    must_hold(!job.photo_sets.empty(), "a job names photos");
    must_hold(!job.question.hardpoints.empty(), "a job asks for hardpoints");
    with_spacers_on_car(job.rod_end);
  });
  read_or_complain([&] { known_lengths_from_text(text, "known-lengths.toml"); });
  return 0;
}
