// SPDX-License-Identifier: Apache-2.0
#include "job/thumbnail_cache.h"

#include <algorithm>
#include <string_view>

#include "job/kept_entry.h"

namespace pivotfix {
namespace {

constexpr const char* what = "pivotfix thumbnail 1";
constexpr std::string_view jpeg_start = "\xFF\xD8\xFF", jpeg_end = "\xFF\xD9";

// A checksum proves no good faith: an entry may come from a stranger.
bool is_sound(const Thumbnail& thumbnail, const ThumbnailOptions& options) {
  const auto is_side = [&](int length_px) { return length_px > 0 && length_px <= options.longest_px; };
  return is_side(thumbnail.width_px) && is_side(thumbnail.height_px) && thumbnail.scale > 0.0 &&
         thumbnail.scale <= 1.0 && thumbnail.orientation >= 1 && thumbnail.orientation <= 8 &&
         thumbnail.jpeg.size() <= options.most_bytes && thumbnail.jpeg.starts_with(jpeg_start) &&
         thumbnail.jpeg.ends_with(jpeg_end);
}

}  // namespace

std::filesystem::path ThumbnailCache::file_of(const PhotoFile& photo) const {
  return folder_ / (photo.checksum + ".thumbnail");
}

std::optional<Thumbnail> ThumbnailCache::find(const PhotoFile& photo, const ThumbnailOptions& options) const {
  const std::optional<std::string> content = entry_in(file_of(photo));
  if (!content) return std::nullopt;
  return entry_from_text(*content, made_by_, photo.bytes.size(), options);
}

void ThumbnailCache::keep(const PhotoFile& photo, const ThumbnailOptions& options,
                          const Thumbnail& thumbnail) const {
  keep_entry(file_of(photo), entry_text(thumbnail, made_by_, photo.bytes.size(), options));
}

std::optional<Thumbnail> ThumbnailCache::entry_from_text(std::string_view content, std::string_view made_by,
                                                         std::uint64_t photo_bytes,
                                                         const ThumbnailOptions& options) {
  const OpenedEntry opened = open_entry(content, what, made_by);
  if (!opened.payload) return std::nullopt;
  EntryReader reader(*opened.payload);
  const bool is_asked_for = reader.number<std::uint64_t>() == photo_bytes &&
                            reader.number<int>() == options.longest_px &&
                            reader.number<std::uint64_t>() == options.most_bytes;
  if (!is_asked_for) return std::nullopt;
  Thumbnail thumbnail;
  thumbnail.width_px = reader.number<int>();
  thumbnail.height_px = reader.number<int>();
  thumbnail.scale = reader.number<double>();
  thumbnail.orientation = reader.number<int>();
  thumbnail.jpeg = reader.text();
  if (!reader.good_to_the_end() || !is_sound(thumbnail, options)) return std::nullopt;
  return thumbnail;
}

std::string ThumbnailCache::entry_text(const Thumbnail& thumbnail, std::string_view made_by,
                                       std::uint64_t photo_bytes, const ThumbnailOptions& options) {
  EntryWriter writer;
  writer.number(photo_bytes);
  writer.number(options.longest_px);
  writer.number(static_cast<std::uint64_t>(options.most_bytes));
  writer.number(thumbnail.width_px);
  writer.number(thumbnail.height_px);
  writer.number(thumbnail.scale);
  writer.number(thumbnail.orientation);
  writer.text(thumbnail.jpeg);
  return entry_content(what, made_by, writer.bytes());
}

}  // namespace pivotfix
