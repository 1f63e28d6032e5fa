// SPDX-License-Identifier: Apache-2.0
#include "cli/kept_beside_job.h"

#include "photos/photo_libraries.h"

namespace pivotfix {
namespace {

// The code that looks at photos, told apart from its other versions by its own text and by its libraries.
std::string made_by() {
  return "pivotfix " PIVOTFIX_VERSION " " PIVOTFIX_PHOTO_CODE " " + photo_libraries();
}

}  // namespace

std::optional<KeptBesideJob> kept_beside(const Job& job, const PipelineOptions& options) {
  if (!options.keep_found_tags) return std::nullopt;
  const std::filesystem::path beside =
      job.file.has_parent_path() ? job.file.parent_path() : std::filesystem::path(".");
  const std::filesystem::path folder = beside / ".pivotfix-cache";
  return KeptBesideJob{TagCache(folder, made_by()), ThumbnailCache(folder, made_by())};
}

}  // namespace pivotfix
