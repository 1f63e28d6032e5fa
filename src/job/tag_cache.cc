// SPDX-License-Identifier: Apache-2.0
#include "job/tag_cache.h"

#include <algorithm>
#include <cmath>

#include "job/kept_entry.h"
#include "tags/tags.h"

namespace pivotfix {
namespace {

namespace fs = std::filesystem;

constexpr const char* what = "pivotfix tags 1";
constexpr std::size_t bytes_of_a_point = 16;
constexpr std::size_t least_bytes_of_a_sighting = 184;  // without edge points
constexpr int longest_side_px = 1'000'000;

void write_point(EntryWriter& writer, const Eigen::Vector2d& value) {
  writer.number(value.x());
  writer.number(value.y());
}

Eigen::Vector2d read_point(EntryReader& reader) {
  const double x = reader.number<double>();
  return {x, reader.number<double>()};
}

void write_camera(EntryWriter& writer, const CameraDescription& camera) {
  writer.text(camera.make);
  writer.text(camera.model);
  writer.text(camera.lens_model);
  writer.number(camera.focal_length_mm);
  writer.number(camera.focal_length_35mm_mm);
  writer.number(camera.digital_zoom);
  writer.number(camera.width_px);
  writer.number(camera.height_px);
}

CameraDescription read_camera(EntryReader& reader) {
  CameraDescription camera;
  camera.make = reader.text();
  camera.model = reader.text();
  camera.lens_model = reader.text();
  camera.focal_length_mm = reader.number<double>();
  camera.focal_length_35mm_mm = reader.number<double>();
  camera.digital_zoom = reader.number<double>();
  camera.width_px = reader.number<int>();
  camera.height_px = reader.number<int>();
  return camera;
}

void write_sighting(EntryWriter& writer, const Sighting& sighting) {
  writer.number(sighting.tag_number);
  for (const Eigen::Vector2d& corner : sighting.corner_px) write_point(writer, corner);
  write_point(writer, sighting.centre_px);
  for (const std::vector<EdgePoint>& edge : sighting.edge_points) {
    writer.number(static_cast<std::uint64_t>(edge.size()));
    for (const EdgePoint& point : edge) write_point(writer, point.point_px);
  }
  writer.number(sighting.edge_noise_px);
  for (const double doubt_px : sighting.rim_doubt_px) writer.number(doubt_px);
  writer.number(sighting.blur_px);
  writer.number(sighting.contrast);
  writer.number(sighting.white);
  writer.number(sighting.wrong_cells);
}

Sighting read_sighting(EntryReader& reader) {
  Sighting sighting;
  sighting.tag_number = reader.number<int>();
  for (Eigen::Vector2d& corner : sighting.corner_px) corner = read_point(reader);
  sighting.centre_px = read_point(reader);
  for (std::vector<EdgePoint>& edge : sighting.edge_points) {
    const std::size_t points = reader.count(bytes_of_a_point);
    for (std::size_t i = 0; i < points; ++i) edge.push_back({read_point(reader)});
  }
  sighting.edge_noise_px = reader.number<double>();
  for (double& doubt_px : sighting.rim_doubt_px) doubt_px = reader.number<double>();
  sighting.blur_px = reader.number<double>();
  sighting.contrast = reader.number<double>();
  sighting.white = reader.number<double>();
  sighting.wrong_cells = reader.number<int>();
  return sighting;
}

// A checksum proves no good faith: an entry may come from a stranger.
bool is_magnitude(double value) {
  return std::isfinite(value) && value >= 0.0;
}

bool is_sound(const CameraDescription& camera) {
  const auto is_side = [](int length_px) { return length_px > 0 && length_px <= longest_side_px; };
  return is_side(camera.width_px) && is_side(camera.height_px) && is_magnitude(camera.focal_length_mm) &&
         is_magnitude(camera.focal_length_35mm_mm) && is_magnitude(camera.digital_zoom);
}

bool is_sound(const FoundInPhoto& found) {
  if (!is_sound(found.camera)) return false;
  const auto lies_near = [&](const Eigen::Vector2d& point_px) {
    const double reach_px = 2.0 * (found.camera.width_px + found.camera.height_px);
    return point_px.allFinite() && point_px.cwiseAbs().maxCoeff() < reach_px;
  };
  const auto is_sound_sighting = [&](const Sighting& sighting) {
    bool sound = sighting.tag_number >= 0 && sighting.tag_number < tag_family_size &&
                 lies_near(sighting.centre_px) && is_magnitude(sighting.edge_noise_px) &&
                 is_magnitude(sighting.blur_px) && std::isfinite(sighting.contrast) &&
                 std::isfinite(sighting.white);
    for (const double doubt_px : sighting.rim_doubt_px) sound = sound && is_magnitude(doubt_px);
    for (const Eigen::Vector2d& corner : sighting.corner_px) sound = sound && lies_near(corner);
    for (const std::vector<EdgePoint>& edge : sighting.edge_points)
      for (const EdgePoint& point : edge) sound = sound && lies_near(point.point_px);
    return sound;
  };
  return std::all_of(found.sightings.begin(), found.sightings.end(), is_sound_sighting);
}

// A field that is added to a sighting must be kept, too.
struct FieldsOfASighting {
  int number;
  TagCorners corners;
  Eigen::Vector2d centre;
  std::array<std::vector<EdgePoint>, 4> edges;
  double noise;
  std::array<double, 4> rim_doubts;
  double blur, contrast, white;
  int cells;
};
static_assert(sizeof(Sighting) == sizeof(FieldsOfASighting));

}  // namespace

fs::path TagCache::file_of(const PhotoFile& photo) const {
  return folder_ / (photo.checksum + ".tags");
}

TagCache::Entry TagCache::find(const PhotoFile& photo) const {
  const std::optional<std::string> content = entry_in(file_of(photo));
  return content ? entry_from_text(*content, searched_by_, photo.bytes.size()) : Entry{};
}

TagCache::Entry TagCache::entry_from_text(const std::string& content, const std::string& searched_by,
                                          std::size_t photo_bytes) {
  const OpenedEntry opened = open_entry(content, what, searched_by);
  if (!opened.payload) return {{}, opened.damaged};
  EntryReader reader(*opened.payload);
  FoundInPhoto found;
  const auto photo_size = reader.number<std::uint64_t>();
  found.camera = read_camera(reader);
  found.taken = reader.text();
  const std::size_t count = reader.count(least_bytes_of_a_sighting);
  for (std::size_t i = 0; i < count; ++i) found.sightings.push_back(read_sighting(reader));
  if (!reader.good_to_the_end() || !is_sound(found)) return {{}, true};
  if (photo_size != photo_bytes) return {};
  return {found, false};
}

std::string TagCache::entry_text(const FoundInPhoto& found, const std::string& searched_by,
                                 std::size_t photo_bytes) {
  EntryWriter writer;
  writer.number(static_cast<std::uint64_t>(photo_bytes));
  write_camera(writer, found.camera);
  writer.text(found.taken);
  writer.number(static_cast<std::uint64_t>(found.sightings.size()));
  for (const Sighting& sighting : found.sightings) write_sighting(writer, sighting);
  return entry_content(what, searched_by, writer.bytes());
}

void TagCache::keep(const PhotoFile& photo, const FoundInPhoto& found) const {
  keep_entry(file_of(photo), entry_text(found, searched_by_, photo.bytes.size()));
}

}  // namespace pivotfix
