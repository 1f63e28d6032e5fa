// SPDX-License-Identifier: Apache-2.0
// What the user said: the job file, as values in millimetres and radians. docs/job-file.md has every key.
#pragma once

#include <filesystem>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "acceptance/acceptance.h"
#include "base/problem.h"
#include "base/units.h"
#include "lens/lens_file.h"
#include "locate/locate_hardpoints.h"

namespace pivotfix {

struct PhotoPattern {
  std::string text{};  // as written, relative to the job's folder: "photos/*.jpg"
  Place place{};
};

struct PhotoSet {
  std::string height = "ride";
  bool steered = false;  // the rack stood elsewhere than in the other sets
  std::vector<PhotoPattern> patterns{};
  std::string part{};  // of the height: "turn 1" where the hub was turned
  Place place{};       // where the file says `steered`, else of the table
};

// Photos for which the pointer stood still. A pattern that matches folders names a position with each of
// them; the photos of all other patterns together are one.
struct PointerPhotos {
  std::string hardpoint{};  // that it touched; empty: it stood in its dent
  std::vector<PhotoPattern> patterns{};
};

// Photos with the wheel on.
struct WheelOnPhotos {
  std::vector<PhotoPattern> patterns{};
  std::set<int> tags{};  // on the body and on the wheel: the car stood elsewhere on the floor
};

// What a tag is for. What depends on it: whether the tag may move, and whether it may stay unread.
enum class TagRole {
  floor,
  forward_line,
  forward_direction,
  like_point,
  scale_strip,
  ride_height,
  wheel_on_body,  // ties the photos with the wheel on to the others
  body_tag,
  moving_part,
  other,  // a hardpoint, a hub, the end of a tape
};

// Where the job file needs a tag, so that a tag that no photo shows can be named with its line.
struct TagUse {
  int tag = -1;
  TagRole role = TagRole::other;
  std::string words{};  // of the role, for messages: "lower_ball_joint", "a floor tag"
  Place place{};
};

// A number that is still to be measured; `new` writes "?" for it.
struct Blank {
  std::string section{};  // the key at the top of the file that it belongs to: "rod_end"
  std::string key{};
  int line = 0, column = 0;
};

struct Job {
  std::filesystem::path file{};
  std::string checksum{};  // of the file's bytes, as InputFile has it
  std::string title{};
  LengthUnit unit = LengthUnit::millimetre;  // of bare numbers
  double tag_side_mm = 40.0;
  std::map<int, double> other_sides_mm{};
  std::vector<PhotoSet> photo_sets{};
  std::vector<PointerPhotos> pointer_photos{};
  std::optional<WheelOnPhotos> wheel_on_photos{};
  std::vector<ScaleBar> scale_bars{};
  HardpointQuestion question{};
  WheelSetting wheel{};
  Eigen::Vector3d rack_axis_vehicle{0.0, 1.0, 0.0};  // as in HardpointSet
  RodEnd rod_end{};
  Driving driving{};
  std::vector<ToeReading> readings{};
  bool readings_from_photos = false;  // and those that the hub's tags tell, from `toe_readings`
  Record record{};                    // car, date and who, as far as said
  std::vector<TagUse> tag_uses{};
  std::vector<PhotoPattern> lens_files{};  // as written, relative to the job's folder
  std::vector<Blank> blanks{};             // what stands in for them means nothing
};

// Throws Problem(input) with file, line and column for syntax, unknown keys (suggesting the nearest known
// one), wrong types, missing or contradictory values.
Job read_job(const std::filesystem::path& file);
// The same for a text that has been read already; `file` is where it came from.
Job job_from_text(const std::string& text, const std::filesystem::path& file);

// Throws Problem(input) that names every blank, when there are any.
void refuse_blanks(const Job& job);
// The same for an answer from pivots that are known: what only finding them needs may stay blank.
void refuse_blanks_beside_pivots(const Job& job);

// The photos that the job names, sorted, each once; a folder stands for the photos in it. Relative ones stay
// in the job's folder. Throws Problem(input) with the line of a pattern that matches none.
std::vector<std::filesystem::path> photo_files(const Job& job);

// Photos between which nothing moved: the height, and the part of it where the pointer stood in one place or
// the hub was turned.
struct PhotoGroup {
  std::string height{};
  std::string part{};
};
inline constexpr const char* wheel_on_height = "wheel on";

// The group of each of these photos, and the question with the names of the pointer's positions, which only
// the folders tell. A photo that the pointer's positions or the ride height name is theirs; of two sets it is
// the first one's. Throws Problem(input) with the line of a pattern that matches none, Problem(refused) for
// a position of the pointer with one photo.
struct GroupedPhotos {
  std::map<std::filesystem::path, PhotoGroup> groups{};
  HardpointQuestion question{};
};
GroupedPhotos group_photos(const Job& job);

// Photos named one by one or by their folders, sorted, each once. Throws Problem(input) for what is not
// there.
std::vector<std::filesystem::path> photos_named(const std::vector<std::string>& names);

// The lens files that the job names and `more_files`, read. Throws Problem(input).
std::vector<LensFile> read_lens_files(const Job& job, const std::vector<std::string>& more_files);

// Known lengths between tags, to test the whole method with: a file of its own, docs/job-file.md.
// Throws Problem(input) like read_job.
std::vector<KnownLength> read_known_lengths(const std::filesystem::path& file);
std::vector<KnownLength> known_lengths_from_text(const std::string& text, const std::string& name);

// The spacers on the car may be used as well: adds to the stock what `between_now` has and `stock` lacks.
RodEnd with_spacers_on_car(RodEnd rod_end);

// Of printed tags.
inline constexpr double least_tag_side_mm = 5.0, most_tag_side_mm = 1000.0;

// A commented job file, ready to edit, that read_job accepts.
struct NewJob {
  Side side = Side::left;
  Layout layout = Layout::strut;
  LengthUnit unit = LengthUnit::millimetre;
  std::string tag_side{};  // as typed, a length with its unit; empty: that of the sheets
  bool heights = false;    // photos at several heights of the wheel, pivots from how the parts move
};
std::string new_job_text(const NewJob& wish);

// Every table of the job file and its keys, as read_job knows them; the name of the top is "".
struct JobSection {
  std::string name{};  // "hardpoint.NAME", "tags.sizes"
  std::vector<std::string> keys{};
};
const std::vector<JobSection>& job_sections();

}  // namespace pivotfix
