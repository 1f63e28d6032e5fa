// SPDX-License-Identifier: Apache-2.0
#include <libexif/exif-data.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <memory>

#include "photos/picture_formats.h"

namespace pivotfix {
namespace {

struct Release {
  void operator()(ExifData* data) const { exif_data_unref(data); }
};

const ExifEntry* find_entry(const ExifData& data, ExifTag tag, ExifFormat format, std::size_t bytes) {
  for (const ExifContent* content : data.ifd) {
    const ExifEntry* entry = exif_content_get_entry(const_cast<ExifContent*>(content), tag);
    if (entry && entry->data && entry->format == format && entry->size >= bytes) return entry;
  }
  return nullptr;
}

// Without what files pad text with: spaces and zeros.
std::string text(const ExifData& data, ExifTag tag) {
  const ExifEntry* entry = find_entry(data, tag, EXIF_FORMAT_ASCII, 1);
  if (!entry) return {};
  const char* begin = reinterpret_cast<const char*>(entry->data);
  std::string value(begin, std::find(begin, begin + entry->size, '\0'));
  const auto last = value.find_last_not_of(" \t\r\n");
  value.erase(last == std::string::npos ? 0 : last + 1);
  value.erase(0, std::min(value.find_first_not_of(" \t\r\n"), value.size()));
  return value;
}

double rational(ExifData& data, ExifTag tag) {
  const ExifEntry* entry = find_entry(data, tag, EXIF_FORMAT_RATIONAL, 8);
  if (!entry) return 0.0;
  const ExifRational value = exif_get_rational(entry->data, exif_data_get_byte_order(&data));
  return value.denominator == 0 ? 0.0 : static_cast<double>(value.numerator) / value.denominator;
}

int small_integer(ExifData& data, ExifTag tag) {
  const ExifEntry* entry = find_entry(data, tag, EXIF_FORMAT_SHORT, 2);
  return entry ? exif_get_short(entry->data, exif_data_get_byte_order(&data)) : 0;
}

bool begins_as_exif(Bytes bytes) {
  constexpr std::array<std::uint8_t, 6> start{'E', 'x', 'i', 'f', 0, 0};
  return bytes.size() >= start.size() && std::equal(start.begin(), start.end(), bytes.begin());
}

// Of a JPEG, its EXIF segment wherever it stands before the picture: the library looks past no comment.
// Segments are a marker, two bytes of length, which count themselves, and content (ITU-T T.81, B.1.1.4).
Bytes exif_block(Bytes bytes) {
  if (!looks_like_jpeg(bytes)) return bytes;
  constexpr std::uint8_t marker_start = 0xFF, start_of_scan = 0xDA, application_1 = 0xE1;
  std::size_t at = 2;
  while (at + 4 <= bytes.size() && bytes[at] == marker_start && bytes[at + 1] != start_of_scan) {
    if (bytes[at + 1] == marker_start) {  // fill bytes may stand before a marker
      ++at;
      continue;
    }
    const std::size_t length = 256U * bytes[at + 2] + bytes[at + 3];
    if (length < 2 || length > bytes.size() - at - 2) break;
    const Bytes content = bytes.subspan(at + 4, length - 2);
    if (bytes[at + 1] == application_1 && begins_as_exif(content)) return content;
    at += 2 + length;
  }
  return {};
}

}  // namespace

ExifFacts read_exif(Bytes bytes) {
  ExifFacts facts;
  const Bytes block = exif_block(bytes);
  if (block.empty()) return facts;
  const std::unique_ptr<ExifData, Release> data(
      exif_data_new_from_data(block.data(), static_cast<unsigned int>(block.size())));
  if (!data) return facts;
  facts.camera.make = text(*data, EXIF_TAG_MAKE);
  facts.camera.model = text(*data, EXIF_TAG_MODEL);
  facts.camera.lens_model = text(*data, EXIF_TAG_LENS_MODEL);
  facts.camera.focal_length_mm = rational(*data, EXIF_TAG_FOCAL_LENGTH);
  facts.camera.focal_length_35mm_mm = small_integer(*data, EXIF_TAG_FOCAL_LENGTH_IN_35MM_FILM);
  // EXIF: a ratio of 0 means that digital zoom was not used.
  const double zoom = rational(*data, EXIF_TAG_DIGITAL_ZOOM_RATIO);
  facts.camera.digital_zoom = zoom > 0.0 ? zoom : 1.0;
  facts.taken = text(*data, EXIF_TAG_DATE_TIME_ORIGINAL);
  const int orientation = small_integer(*data, EXIF_TAG_ORIENTATION);
  facts.orientation = orientation >= 1 && orientation <= 8 ? orientation : 1;
  return facts;
}

}  // namespace pivotfix
