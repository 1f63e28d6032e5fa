// SPDX-License-Identifier: Apache-2.0
// A photo's thumbnail, kept beside what was found in it (tag_cache.h): a report with one more photo decodes
// that photo only.
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>

#include "photos/photo_file.h"
#include "photos/thumbnail.h"

namespace pivotfix {

class ThumbnailCache {
 public:
  // `made_by` tells the code that makes thumbnails apart from its other versions.
  ThumbnailCache(std::filesystem::path folder, std::string made_by)
      : folder_(std::move(folder)), made_by_(std::move(made_by)) {}

  // By the photo's checksum and size, made with these options. None when there is none, or one that is
  // damaged, by other code or with other options, or that no such code could have made.
  std::optional<Thumbnail> find(const PhotoFile& photo, const ThumbnailOptions& options) const;

  // In place of the one with other options, so that a photo has one. Written whole or not at all; where
  // nothing can be written, nothing is kept.
  void keep(const PhotoFile& photo, const ThumbnailOptions& options, const Thumbnail& thumbnail) const;

  // For tests: where a photo's entry lies, and an entry's content without its file.
  std::filesystem::path file_of(const PhotoFile& photo) const;
  static std::optional<Thumbnail> entry_from_text(std::string_view content, std::string_view made_by,
                                                  std::uint64_t photo_bytes, const ThumbnailOptions& options);
  static std::string entry_text(const Thumbnail& thumbnail, std::string_view made_by,
                                std::uint64_t photo_bytes, const ThumbnailOptions& options);

 private:
  std::filesystem::path folder_;
  std::string made_by_;
};

}  // namespace pivotfix
