// SPDX-License-Identifier: Apache-2.0
// read_photo in steps, for callers who need not decode what they have met before.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "photos/photos.h"

namespace pivotfix {

struct PhotoFile {
  std::string name{};  // as Photo::name
  std::vector<std::uint8_t> bytes{};
  std::string checksum{};  // of `bytes`, as Photo::checksum
};

// Throws Problem(input) as read_photo does.
PhotoFile read_photo_file(const std::filesystem::path& file, const std::string& name);
Photo decode_photo(const PhotoFile& file);

// When it was taken by the camera's clock, "2026:05:17 14:03:59"; empty when the file does not say.
std::string time_taken(const PhotoFile& file);

}  // namespace pivotfix
