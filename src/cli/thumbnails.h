// SPDX-License-Identifier: Apache-2.0
// The photos of a job, small, for its report.
#pragma once

#include <map>
#include <string>

#include "cli/pipeline.h"
#include "photos/thumbnail.h"

namespace pivotfix {

// By the names that results show. All of them together stay below what a report may weigh; the result does
// not depend on the number of threads. Photos that cannot be read are left out.
std::map<std::string, Thumbnail> thumbnails_of(const Job& job, const PipelineOptions& options);

}  // namespace pivotfix
