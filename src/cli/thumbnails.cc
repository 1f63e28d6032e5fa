// SPDX-License-Identifier: Apache-2.0
#include "cli/thumbnails.h"

#include <cmath>
#include <exception>
#include <optional>

#include "base/side_by_side.h"
#include "cli/kept_beside_job.h"

namespace pivotfix {
namespace {

constexpr double most_bytes_in_all = 3.0e6;  // of JPEG; a third more once in the page
constexpr int usual_photos = 40;
constexpr int longest_px = 640;

constexpr double step = 1.25;  // in the number of photos

Thumbnail thumbnail_of(const PhotoFile& photo, const ThumbnailOptions& wanted, const KeptBesideJob* kept) {
  if (kept != nullptr)
    if (const std::optional<Thumbnail> found = kept->thumbnails.find(photo, wanted)) return *found;
  Thumbnail made = make_thumbnail(decode_photo(photo), wanted);
  if (kept != nullptr) kept->thumbnails.keep(photo, wanted, made);
  return made;
}

}  // namespace

ThumbnailOptions thumbnail_options(std::size_t photos) {
  double share = 1.0;
  while (share * usual_photos < static_cast<double>(photos)) share *= step;
  ThumbnailOptions options;
  options.longest_px = static_cast<int>(longest_px / std::sqrt(share));
  options.most_bytes = static_cast<std::size_t>(most_bytes_in_all / (usual_photos * share));
  return options;
}

std::map<std::string, Thumbnail> thumbnails_of(const Job& job, const PipelineOptions& options) {
  const std::vector<std::filesystem::path> files = photo_files(job);
  const ThumbnailOptions wanted = thumbnail_options(files.size());
  const std::optional<KeptBesideJob> kept = kept_beside(job, options);
  std::vector<std::optional<Thumbnail>> found(files.size());
  side_by_side(files.size(), options.thread_count(), [&](std::size_t i) {
    try {
      found[i] =
          thumbnail_of(read_photo_file(files[i], shown_name(files[i], job)), wanted, kept ? &*kept : nullptr);
    } catch (const std::exception&) {
      // Whoever looked for its tags has told of it; a page without its picture is a page.
    }
  });
  std::map<std::string, Thumbnail> thumbnails;
  for (std::size_t i = 0; i < files.size(); ++i)
    if (found[i]) thumbnails[shown_name(files[i], job)] = std::move(*found[i]);
  return thumbnails;
}

}  // namespace pivotfix
