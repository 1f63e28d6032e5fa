// SPDX-License-Identifier: Apache-2.0
// What a job's result was made from.
#pragma once

#include "cli/pipeline.h"

namespace pivotfix {

inline constexpr const char* method_photos = "photos";  // of a set that a job found

// All that the result depends on besides the program: the job file first, lens files and photos with their
// checksums, and the options, but not how many threads worked, which changes nothing. The date is the first
// photo's, by the camera's clock, unless the job says it. Throws Problem(input) for a file that has gone.
Record record_of(const Job& job, const PipelineOptions& options, const FoundTags& found);

}  // namespace pivotfix
