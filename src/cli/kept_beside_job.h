// SPDX-License-Identifier: Apache-2.0
// What is kept of photos in a folder beside the job, so that a photo added later only adds its own work.
#pragma once

#include <optional>

#include "cli/pipeline.h"
#include "job/tag_cache.h"
#include "job/thumbnail_cache.h"

namespace pivotfix {

struct KeptBesideJob {
  TagCache tags;
  ThumbnailCache thumbnails;
};

// None when the options want nothing kept.
std::optional<KeptBesideJob> kept_beside(const Job& job, const PipelineOptions& options);

}  // namespace pivotfix
