// SPDX-License-Identifier: Apache-2.0
#include "cli/pipeline.h"

#include <algorithm>
#include <mutex>
#include <optional>
#include <set>

#include "base/checksum.h"
#include "base/side_by_side.h"
#include "cli/command.h"
#include "cli/job_record.h"
#include "cli/kept_beside_job.h"
#include "cli/thumbnails.h"
#include "locate/locate_hardpoints.h"
#include "photos/photos.h"
#include "tags/tags.h"

namespace pivotfix {
namespace {

namespace fs = std::filesystem;

// What one photo came to; exactly one of sightings and why_skipped is set.
struct PhotoOutcome {
  PhotoSightings sightings{};
  std::string checksum{};
  std::string taken{};
  bool kept_was_damaged = false;
  std::string why_skipped{};  // it cannot be read
};

FoundInPhoto found_in(const PhotoFile& file, const KeptBesideJob* kept, const ThumbnailOptions& small,
                      bool& kept_was_damaged) {
  if (kept != nullptr) {
    TagCache::Entry entry = kept->tags.find(file);
    if (entry.found) return std::move(*entry.found);
    kept_was_damaged = entry.damaged;
  }
  const Photo photo = decode_photo(file);
  FoundInPhoto found{photo.camera, time_taken(file), find_tags(photo.picture)};
  if (kept != nullptr) {
    kept->tags.keep(file, found);
    kept->thumbnails.keep(file, small, make_thumbnail(photo, small));  // or the report would decode it again
  }
  return found;
}

PhotoOutcome outcome_of(const fs::path& file, const std::string& name, const PhotoGroup& group,
                        const KeptBesideJob* kept, const ThumbnailOptions& small, bool skip_broken) {
  PhotoOutcome outcome;
  try {
    const PhotoFile photo = read_photo_file(file, name);
    FoundInPhoto found = found_in(photo, kept, small, outcome.kept_was_damaged);
    outcome.checksum = photo.checksum;
    outcome.taken = std::move(found.taken);
    outcome.sightings = {name, std::move(found.camera), std::move(found.sightings), group.height, group.part};
  } catch (const Problem& problem) {
    if (problem.kind() != ProblemKind::input) throw;
    if (!skip_broken)
      throw Problem(problem.kind(), problem.what_happened(),
                    problem.remedy() + " Or go on without broken photos: --skip-broken", problem.place());
    outcome.why_skipped = problem.what();
  }
  return outcome;
}

// Each thread holds one decoded photo at a time, so memory is bounded by the number of threads.
std::vector<PhotoOutcome> outcomes_of(const std::vector<fs::path>& files, const Job& job,
                                      const PipelineOptions& options, Progress& progress) {
  std::vector<PhotoOutcome> outcomes(files.size());
  const auto groups = group_photos(job).groups;
  const std::optional<KeptBesideJob> kept = kept_beside(job, options);
  const ThumbnailOptions small = thumbnail_options(files.size());
  std::size_t done = 0;
  std::mutex progress_mutex;
  side_by_side(files.size(), options.thread_count(), [&](std::size_t i) {
    outcomes[i] = outcome_of(files[i], shown_name(files[i], job), groups.at(files[i]),
                             kept ? &*kept : nullptr, small, options.skip_broken);
    const std::lock_guard lock(progress_mutex);
    progress.show("looking for tags: photo " + std::to_string(++done) + " of " +
                  std::to_string(files.size()));
  });
  return outcomes;
}

void note_few_tags(const PhotoSightings& photo, std::vector<std::string>& notes) {
  if (photo.sightings.empty()) notes.push_back(photo.photo + " shows no tag and is not used.");
  if (photo.sightings.size() == 1)
    notes.push_back(photo.photo + " shows one tag only (" +
                    std::to_string(photo.sightings.front().tag_number) + ") and says little.");
}

// With the wheel on, the car stood elsewhere on the floor: only what is on the body ties these photos to the
// others.
void keep_body_and_wheel(const WheelOnPhotos& wheel_on, std::vector<PhotoSightings>& photos) {
  for (PhotoSightings& photo : photos)
    if (photo.set == wheel_on_height)
      std::erase_if(photo.sightings,
                    [&](const Sighting& sighting) { return !wheel_on.tags.contains(sighting.tag_number); });
}

NetworkInput network_input(const Job& job, std::vector<PhotoSightings> photos, int threads) {
  NetworkInput input;
  input.threads = threads;
  input.photos = std::move(photos);
  input.scale_bars = job.scale_bars;
  input.printed_side_mm = job.tag_side_mm;
  input.other_sides_mm = job.other_sides_mm;
  const bool hub_turns = std::any_of(job.photo_sets.begin(), job.photo_sets.end(),
                                     [](const PhotoSet& set) { return !set.part.empty(); });
  for (const Body& body : job.question.bodies) {
    input.moving_tags.insert(body.tags.begin(), body.tags.end());
    if (body.name == "pointer" || (hub_turns && body.name == "hub"))
      input.restless_tags.insert(body.tags.begin(), body.tags.end());
  }
  if (job.question.ride_height && job.wheel_on_photos) {
    input.moving_tags.insert(job.question.ride_height->wheel_tag);
    keep_body_and_wheel(*job.wheel_on_photos, input.photos);
  }
  return input;
}

}  // namespace

std::string shown_name(const fs::path& photo, const Job& job) {
  const fs::path folder = job.file.has_parent_path() ? job.file.parent_path() : fs::path(".");
  const fs::path relative = photo.lexically_proximate(folder.lexically_normal());
  const bool inside = !relative.empty() && *relative.begin() != "..";
  return (inside ? relative : photo).generic_string();
}

FoundTags find_tags_in_photos(const Job& job, const PipelineOptions& options, Progress& progress) {
  const std::vector<fs::path> files = photo_files(job);
  refuse_blanks(job);
  FoundTags found;
  for (PhotoOutcome& outcome : outcomes_of(files, job, options, progress)) {
    if (!outcome.why_skipped.empty()) {
      found.notes.push_back(outcome.why_skipped + " It is skipped.");
      continue;
    }
    note_few_tags(outcome.sightings, found.notes);
    if (outcome.kept_was_damaged)
      found.notes.push_back("What was kept of " + outcome.sightings.photo +
                            " was damaged; its tags were looked for again.");
    found.files.push_back({outcome.sightings.photo, outcome.checksum});
    if (!outcome.taken.empty() && (found.first_taken.empty() || outcome.taken < found.first_taken))
      found.first_taken = outcome.taken;
    found.photos.push_back(std::move(outcome.sightings));
  }
  progress.clear();
  return found;
}

namespace {

std::set<int> tags_seen(const std::vector<PhotoSightings>& photos) {
  std::set<int> seen;
  for (const PhotoSightings& photo : photos)
    for (const Sighting& sighting : photo.sightings) seen.insert(sighting.tag_number);
  return seen;
}

// From outside a corner only one face of the pointer's stick may be seen.
bool can_do_without_unseen(const Body& body, const std::set<int>& seen) {
  return static_cast<std::size_t>(std::count_if(body.tags.begin(), body.tags.end(), [&](int tag) {
           return seen.contains(tag);
         })) >= Body::fewest_tags;
}

// Of several floor tags, tags on the forward line, pairs of like points, scale strips or tags of a part one
// may stay unread: later stages leave it out and say so, or `notes_on_unseen_tags` does.
bool can_be_left_out(const Job& job, const TagUse& use, const std::set<int>& seen) {
  const auto is_seen = [&](int tag) { return seen.contains(tag); };
  const AxesRecipe& axes = job.question.axes;
  const auto seen_of = [&](const std::vector<int>& tags) {
    return static_cast<std::size_t>(std::count_if(tags.begin(), tags.end(), is_seen));
  };
  switch (use.role) {
    case TagRole::floor:
      return seen_of(axes.floor_tags) >= AxesRecipe::fewest_floor_tags;
    case TagRole::forward_line:
      return seen_of(axes.forward_between) + seen_of({axes.forward_from, axes.forward_to}) >=
             AxesRecipe::fewest_on_forward_line;
    case TagRole::like_point:
      return std::any_of(axes.like_points.begin(), axes.like_points.end(),
                         [&](const auto& pair) { return is_seen(pair.first) && is_seen(pair.second); });
    case TagRole::scale_strip:
      return std::any_of(job.scale_bars.begin(), job.scale_bars.end(),
                         [&](const ScaleBar& bar) { return is_seen(bar.from_tag) && is_seen(bar.to_tag); });
    case TagRole::moving_part:
      return std::any_of(job.question.bodies.begin(), job.question.bodies.end(), [&](const Body& body) {
        return std::count(body.tags.begin(), body.tags.end(), use.tag) > 0 &&
               can_do_without_unseen(body, seen);
      });
    default:
      return false;
  }
}

// "Tags 73, 74 and 75".
std::string numbered(const std::vector<int>& tags) {
  std::string words = tags.size() == 1 ? "Tag " : "Tags ";
  for (std::size_t i = 0; i < tags.size(); ++i)
    words += (i == 0 ? "" : i + 1 < tags.size() ? ", " : " and ") + std::to_string(tags[i]);
  return words;
}

}  // namespace

std::vector<std::string> notes_on_unseen_tags(const Job& job, const std::vector<PhotoSightings>& photos) {
  const std::set<int> seen = tags_seen(photos);
  std::vector<std::string> notes;
  for (const Body& body : job.question.bodies) {
    std::vector<int> unseen = body.tags;
    std::erase_if(unseen, [&](int tag) { return seen.contains(tag); });
    if (unseen.empty() || !can_do_without_unseen(body, seen)) continue;
    notes.push_back(
        numbered(unseen) + " of the " + body.name +
        (unseen.size() == 1 ? " is in no photo and does not count." : " are in no photo and do not count."));
  }
  return notes;
}

void check_tags_seen(const Job& job, const std::vector<PhotoSightings>& photos) {
  const std::set<int> seen = tags_seen(photos);
  if (seen.empty()) return;  // no tag at all: the network stage refuses that as a whole
  const TagUse* first = nullptr;
  std::set<int> others;
  for (const TagUse& use : job.tag_uses) {
    if (seen.contains(use.tag) || can_be_left_out(job, use, seen)) continue;
    if (first == nullptr)
      first = &use;
    else if (use.tag != first->tag)
      others.insert(use.tag);
  }
  if (first == nullptr) return;
  std::string what = "Tag " + std::to_string(first->tag) + " (" + first->words + ") is in no photo";
  std::string list;
  for (const int tag : others) list += (list.empty() ? "" : ", ") + std::to_string(tag);
  if (!list.empty()) what += (others.size() == 1 ? ", nor is " : ", nor are ") + list;
  throw Problem(
      ProblemKind::refused, what + ".",
      "Take more photos that show it from different sides, clean, with its whole white rim and without "
      "glare; or correct the number here.",
      first->place);
}

void complete_from_job(const Job& job, HardpointSet& set) {
  set.title = job.title;
  set.wheel = job.wheel;
  set.rack_axis_vehicle = job.rack_axis_vehicle;
  set.rod_end = job.rod_end;
  set.driving = job.driving;
  set.readings.insert(set.readings.begin(), job.readings.begin(), job.readings.end());
  set.program_version = program_version;
}

namespace {

void note_so_far(const FoundTags& found, FoundSoFar& so_far) {
  so_far.notes = found.notes;
  for (const PhotoSightings& photo : found.photos) {
    const CameraDescription& camera = photo.camera;
    FoundSoFar::PhotoTags seen{photo.photo, camera.make + " " + camera.model + ", " +
                                                std::to_string(camera.width_px) + " x " +
                                                std::to_string(camera.height_px)};
    for (const Sighting& sighting : photo.sightings) seen.tags.push_back(sighting.tag_number);
    std::sort(seen.tags.begin(), seen.tags.end());
    so_far.photos.push_back(std::move(seen));
  }
}

}  // namespace

AdjustedJob adjust_job(const Job& job, const PipelineOptions& options, Progress& progress,
                       FoundSoFar* so_far) {
  std::vector<LensFile> lenses = read_lens_files(job, options.lens_files);
  FoundTags found = find_tags_in_photos(job, options, progress);
  if (so_far) note_so_far(found, *so_far);
  check_tags_seen(job, found.photos);
  for (std::string& note : notes_on_unseen_tags(job, found.photos)) found.notes.push_back(std::move(note));
  if (so_far) so_far->notes = found.notes;
  progress.show("fitting photos and tags together");
  NetworkInput input = network_input(job, std::move(found.photos), options.thread_count());
  input.known_lenses = std::move(lenses);
  AdjustedJob adjusted;
  adjusted.network = adjust_network(input);
  adjusted.tags_in_photos = tags_in_photos(adjusted.network, input.photos);
  adjusted.edges = edge_quality(input.photos);
  adjusted.notes = std::move(found.notes);
  adjusted.record = record_of(job, options, found);
  progress.clear();
  return adjusted;
}

LocatedJob locate_job(const Job& job, const PipelineOptions& options, Progress& progress,
                      FoundSoFar* so_far) {
  AdjustedJob adjusted = adjust_job(job, options, progress, so_far);
  if (so_far) so_far->network = adjusted.network;
  LocatedJob located;
  located.notes = std::move(adjusted.notes);
  located.edges = adjusted.edges;
  located.network = std::move(adjusted.network);
  located.tags_in_photos = std::move(adjusted.tags_in_photos);
  located.as_located = locate(located.network, group_photos(job).question);
  located.hardpoints = located.as_located.hardpoints;
  located.notes.insert(located.notes.end(), located.as_located.notes.begin(), located.as_located.notes.end());
  if (job.readings_from_photos)
    located.hardpoints.readings = toe_readings(located.as_located, group_photos(job).question);
  complete_from_job(job, located.hardpoints);
  const std::optional<Uncertain> camber = camber_at_reference(located.as_located, group_photos(job).question);
  if (camber) located.hardpoints.wheel = with_camber_of_photos(job.wheel, *camber);
  if (located.hardpoints.wheel.camber_from_photos)
    located.notes.push_back("Camber is not in the job: that of the hub's tags counts, " +
                            format_fixed(deg_from_rad(camber->value), 2) + " \xC2\xB1 " +
                            format_fixed(deg_from_rad(camber->sigma), 2) + " deg.");
  located.hardpoints.record = std::move(adjusted.record);
  return located;
}

PhotoSetFigures photo_set_figures(const LocatedJob& located) {
  const Located& as_located = located.as_located;
  PhotoSetFigures figures{as_located.wheel, as_located.ride_height, as_located.centre_plane, {}};
  try {
    figures.floor_slope = floor_slope(make_corner(located.hardpoints));
  } catch (const Problem& problem) {
    if (problem.kind() != ProblemKind::refused) throw;
  }
  return figures;
}

ShotPlan next_shots(const Job& job, const LocatedJob& located) {
  std::optional<Advice> advice;
  try {
    advice = advise({located.hardpoints, job.rod_end, job.driving, job.readings});
  } catch (const Problem& problem) {
    if (problem.kind() != ProblemKind::refused) throw;
  }
  ShotQuestion question{located.network, located.as_located, advice ? &*advice : nullptr, located.edges};
  question.set = job.question.reference_height;
  return plan_shots(question);
}

}  // namespace pivotfix
