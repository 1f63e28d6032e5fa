// SPDX-License-Identifier: Apache-2.0
// The photos of a job, small, for its report.
#pragma once

#include <map>
#include <string>

#include "cli/pipeline.h"
#include "photos/thumbnail.h"

namespace pivotfix {

// For so many photos: all their thumbnails together stay below what a report may weigh. They grow smaller in
// steps, so that one more photo seldom changes those that were kept.
ThumbnailOptions thumbnail_options(std::size_t photos);

// By the names that results show, those kept beside the job where there are such. The result depends on
// neither the number of threads nor what was kept. Photos that cannot be read are left out.
std::map<std::string, Thumbnail> thumbnails_of(const Job& job, const PipelineOptions& options);

}  // namespace pivotfix
