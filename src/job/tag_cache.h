// SPDX-License-Identifier: Apache-2.0
// What was found in a photo, kept beside the job: a photo added later only adds its own work. An entry
// belongs to a photo's content and to the code that searched it; one that is damaged or made by other code
// does not count.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "photos/photo_file.h"
#include "tags/tags.h"

namespace pivotfix {

struct FoundInPhoto {
  CameraDescription camera{};
  std::string taken{};  // as time_taken says
  std::vector<Sighting> sightings{};
};

class TagCache {
 public:
  // `searched_by` tells the searching code apart from its other versions.
  TagCache(std::filesystem::path folder, std::string searched_by)
      : folder_(std::move(folder)), searched_by_(std::move(searched_by)) {}

  struct Entry {
    std::optional<FoundInPhoto> found{};
    bool damaged = false;  // there was one, and it cannot be used: cut off or changed
  };
  // By the photo's checksum and size.
  Entry find(const PhotoFile& photo) const;

  // Written whole or not at all; where nothing can be written, nothing is kept.
  void keep(const PhotoFile& photo, const FoundInPhoto& found) const;

  // The content of an entry's file, for what `searched_by` found in a photo of so many bytes. Entries may
  // come from strangers; what could not have been found is `damaged`.
  static Entry entry_from_text(const std::string& content, const std::string& searched_by,
                               std::size_t photo_bytes);
  static std::string entry_text(const FoundInPhoto& found, const std::string& searched_by,
                                std::size_t photo_bytes);

  // For messages and tests.
  std::filesystem::path file_of(const PhotoFile& photo) const;

 private:
  std::filesystem::path folder_;
  std::string searched_by_;
};

}  // namespace pivotfix
