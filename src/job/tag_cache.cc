// SPDX-License-Identifier: Apache-2.0
// An entry: three lines of text (what it is, which code searched, checksum of the rest), then numbers as they
// stand in memory: the same bits come back, on this kind of machine.
#include "job/tag_cache.h"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <type_traits>

#include "base/checksum.h"
#include "base/problem.h"
#include "job/job.h"
#include "job/text_file.h"
#include "tags/tags.h"

namespace pivotfix {
namespace {

namespace fs = std::filesystem;

constexpr const char* first_line = "pivotfix tags 1";
constexpr std::size_t checksum_line = 17;  // 16 digits and the line's end
constexpr std::size_t bytes_of_a_point = 16;
constexpr std::size_t least_bytes_of_a_sighting = 152;  // without edge points
constexpr int longest_side_px = 1'000'000;

class Writer {
 public:
  template <typename Number>
  void number(Number value) {
    static_assert(std::is_arithmetic_v<Number>);
    bytes_.append(reinterpret_cast<const char*>(&value), sizeof value);
  }
  void text(const std::string& value) {
    number(static_cast<std::uint64_t>(value.size()));
    bytes_ += value;
  }
  void point(const Eigen::Vector2d& value) {
    number(value.x());
    number(value.y());
  }
  const std::string& bytes() const { return bytes_; }

 private:
  std::string bytes_{};
};

// After the first read beyond the end everything read is zero or empty, and `good` is false.
class Reader {
 public:
  explicit Reader(std::string_view bytes) : left_(bytes) {}

  template <typename Number>
  Number number() {
    Number value{};
    if (left_.size() < sizeof value) {
      good_ = false;
      return value;
    }
    std::memcpy(&value, left_.data(), sizeof value);
    left_.remove_prefix(sizeof value);
    return value;
  }
  // Never more than what is left could hold, with at least so many bytes each: a number that lies costs no
  // memory.
  std::size_t count(std::size_t bytes_each) {
    const auto value = number<std::uint64_t>();
    if (value > left_.size() / bytes_each) good_ = false;
    return good_ ? static_cast<std::size_t>(value) : 0;
  }
  std::string text() {
    const std::size_t size = count(1);
    const std::string value(left_.substr(0, size));
    left_.remove_prefix(size);
    return value;
  }
  Eigen::Vector2d point() {
    const double x = number<double>();
    return {x, number<double>()};
  }
  bool good_to_the_end() const { return good_ && left_.empty(); }

 private:
  std::string_view left_;
  bool good_ = true;
};

void write_camera(Writer& writer, const CameraDescription& camera) {
  writer.text(camera.make);
  writer.text(camera.model);
  writer.text(camera.lens_model);
  writer.number(camera.focal_length_mm);
  writer.number(camera.focal_length_35mm_mm);
  writer.number(camera.digital_zoom);
  writer.number(camera.width_px);
  writer.number(camera.height_px);
}

CameraDescription read_camera(Reader& reader) {
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

void write_sighting(Writer& writer, const Sighting& sighting) {
  writer.number(sighting.tag_number);
  for (const Eigen::Vector2d& corner : sighting.corner_px) writer.point(corner);
  writer.point(sighting.centre_px);
  for (const std::vector<EdgePoint>& edge : sighting.edge_points) {
    writer.number(static_cast<std::uint64_t>(edge.size()));
    for (const EdgePoint& point : edge) writer.point(point.point_px);
  }
  writer.number(sighting.edge_noise_px);
  writer.number(sighting.blur_px);
  writer.number(sighting.contrast);
  writer.number(sighting.white);
  writer.number(sighting.wrong_cells);
}

Sighting read_sighting(Reader& reader) {
  Sighting sighting;
  sighting.tag_number = reader.number<int>();
  for (Eigen::Vector2d& corner : sighting.corner_px) corner = reader.point();
  sighting.centre_px = reader.point();
  for (std::vector<EdgePoint>& edge : sighting.edge_points) {
    const std::size_t points = reader.count(bytes_of_a_point);
    for (std::size_t i = 0; i < points; ++i) edge.push_back({reader.point()});
  }
  sighting.edge_noise_px = reader.number<double>();
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
  double noise, blur, contrast, white;
  int cells;
};
static_assert(sizeof(Sighting) == sizeof(FieldsOfASighting));

std::string head(const std::string& searched_by) {
  return std::string(first_line) + "\n" + searched_by + "\n";
}

}  // namespace

fs::path TagCache::file_of(const PhotoFile& photo) const {
  return folder_ / (photo.checksum + ".tags");
}

TagCache::Entry TagCache::find(const PhotoFile& photo) const {
  std::string content;
  try {
    content = text_of_file(file_of(photo), "entry", "");
  } catch (const Problem&) {
    return {};  // none, or nothing that could be one
  }
  return entry_from_text(content, searched_by_, photo.bytes.size());
}

TagCache::Entry TagCache::entry_from_text(const std::string& content, const std::string& searched_by,
                                          std::size_t photo_bytes) {
  const std::string start = head(searched_by);
  if (!content.starts_with(first_line)) return {{}, true};
  if (!content.starts_with(start)) return {{}, content.size() < start.size()};  // by other code: no damage
  if (content.size() < start.size() + checksum_line) return {{}, true};
  const std::string_view payload = std::string_view(content).substr(start.size() + checksum_line);
  if (content.substr(start.size(), checksum_line) != xxh64(payload) + "\n") return {{}, true};
  Reader reader(payload);
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
  Writer writer;
  writer.number(static_cast<std::uint64_t>(photo_bytes));
  write_camera(writer, found.camera);
  writer.text(found.taken);
  writer.number(static_cast<std::uint64_t>(found.sightings.size()));
  for (const Sighting& sighting : found.sightings) write_sighting(writer, sighting);
  return head(searched_by) + xxh64(writer.bytes()) + "\n" + writer.bytes();
}

void TagCache::keep(const PhotoFile& photo, const FoundInPhoto& found) const {
  std::error_code error;
  fs::create_directories(folder_, error);
  if (error) return;
  try {
    write_whole_file(file_of(photo), entry_text(found, searched_by_, photo.bytes.size()));
  } catch (const Problem&) {
    // A folder that cannot be written costs time only.
  }
}

}  // namespace pivotfix
