// SPDX-License-Identifier: Apache-2.0
#include "cli/thumbnails.h"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <optional>
#include <thread>

namespace pivotfix {
namespace {

constexpr double most_bytes_in_all = 3.0e6;  // of JPEG; a third more once in the page
constexpr int usual_photos = 40;
constexpr int longest_px = 640;

ThumbnailOptions options_for(std::size_t photos) {
  const double share = std::max<double>(1.0, static_cast<double>(photos) / usual_photos);
  ThumbnailOptions options;
  options.longest_px = static_cast<int>(longest_px / std::sqrt(share));
  options.most_bytes = static_cast<std::size_t>(most_bytes_in_all / (usual_photos * share));
  return options;
}

}  // namespace

std::map<std::string, Thumbnail> thumbnails_of(const Job& job, const PipelineOptions& options) {
  const std::vector<std::filesystem::path> files = photo_files(job);
  const ThumbnailOptions wanted = options_for(files.size());
  std::vector<std::optional<Thumbnail>> found(files.size());
  std::atomic<std::size_t> next{0};
  const auto work = [&] {
    for (std::size_t i = next++; i < files.size(); i = next++) {
      try {
        found[i] = make_thumbnail(read_photo(files[i], shown_name(files[i], job)), wanted);
      } catch (const Problem&) {
        // Whoever looked for its tags has told of it.
      }
    }
  };
  std::vector<std::jthread> threads;
  for (unsigned i = 1; i < thread_count(options, files.size()); ++i) threads.emplace_back(work);
  work();
  threads.clear();  // joins
  std::map<std::string, Thumbnail> thumbnails;
  for (std::size_t i = 0; i < files.size(); ++i)
    if (found[i]) thumbnails[shown_name(files[i], job)] = std::move(*found[i]);
  return thumbnails;
}

}  // namespace pivotfix
