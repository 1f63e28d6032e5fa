// SPDX-License-Identifier: Apache-2.0
// What names with * and ? match. Private to this folder.
#pragma once

#include <filesystem>
#include <vector>

#include "job/job.h"

namespace pivotfix {

std::filesystem::path folder_of(const Job& job);

// Files that the pattern names, not normalised; a folder that it names without wildcard stands for the photos
// in it. Throws Problem(input) with the pattern's line when there are none, or when a relative pattern leads
// out of the job's folder, be it through a link; the same for folders.
std::vector<std::filesystem::path> files_for(const PhotoPattern& wish,
                                             const std::filesystem::path& job_folder);

// Folders that the pattern matches, sorted.
std::vector<std::filesystem::path> folders_for(const PhotoPattern& wish,
                                               const std::filesystem::path& job_folder);

// JPEG, PNG and HEIC photos in a folder, sorted; with the pattern that named the folder, links are looked at
// too.
std::vector<std::filesystem::path> photos_in(const std::filesystem::path& folder);
std::vector<std::filesystem::path> photos_in(const std::filesystem::path& folder, const PhotoPattern& wish,
                                             const std::filesystem::path& job_folder);

}  // namespace pivotfix
