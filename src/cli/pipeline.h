// SPDX-License-Identifier: Apache-2.0
// From a job to located hardpoints: photos and tags on all cores, then network and hardpoints. The result
// does not depend on the number of threads.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "base/side_by_side.h"
#include "cli/progress.h"
#include "hardpoints/hardpoint_set.h"
#include "job/job.h"
#include "network/network.h"
#include "network/tags_in_photos.h"
#include "report/report.h"
#include "shots/shots.h"

namespace pivotfix {

struct PipelineOptions {
  int threads = 0;                        // 0: as many as the machine has cores
  bool skip_broken = false;               // go on without photos that cannot be read
  std::vector<std::string> lens_files{};  // besides those of the job
  bool keep_found_tags = false;           // beside the job, and use those kept before

  int thread_count() const { return threads > 0 ? threads : cores(); }
};

// The name that messages, results and reports show: relative to the job's folder where it lies inside, so
// that the same job gives the same bytes wherever it is.
std::string shown_name(const std::filesystem::path& photo, const Job& job);

struct LocatedJob {
  HardpointSet hardpoints{};
  Located as_located{};  // before the job's own words were added to the hardpoints
  Network network{};
  std::vector<std::vector<TagInPhoto>> tags_in_photos{};
  EdgeQuality edges{};               // of the photos
  std::vector<std::string> notes{};  // photos that did not help, and why
};

// How far a job has come, for the diagnosis when it is refused.
struct FoundSoFar {
  struct PhotoTags {
    std::string photo{};
    std::string camera{};  // in words
    std::vector<int> tags{};
  };
  std::vector<PhotoTags> photos{};
  std::optional<Network> network{};
  std::vector<std::string> notes{};
};

LocatedJob locate_job(const Job& job, const PipelineOptions& options, Progress& progress,
                      FoundSoFar* so_far = nullptr);

// Where to stand for the next photos; without advice where none is possible.
ShotPlan next_shots(const Job& job, const LocatedJob& located);

// For the report: how the car stood in each set of photos.
PhotoSetFigures photo_set_figures(const LocatedJob& located);

// What the job says about the corner besides its hardpoints, written into a set.
void complete_from_job(const Job& job, HardpointSet& set);

// The network alone, without the hardpoints.
struct AdjustedJob {
  Network network{};
  std::vector<std::vector<TagInPhoto>> tags_in_photos{};  // for each station
  EdgeQuality edges{};                                    // of the photos
  std::vector<std::string> notes{};
  Record record{};  // what it was made from
};
AdjustedJob adjust_job(const Job& job, const PipelineOptions& options, Progress& progress,
                       FoundSoFar* so_far = nullptr);

// The first part alone: every photo's sightings in the order of `photo_files`, and the notes.
struct FoundTags {
  std::vector<PhotoSightings> photos{};
  std::vector<std::string> notes{};
  std::vector<InputFile> files{};  // the photos with their checksums
  std::string first_taken{};       // by the camera's clock, as time_taken says; empty when not said
};
FoundTags find_tags_in_photos(const Job& job, const PipelineOptions& options, Progress& progress);

// One for each part of which the photos show enough tags, but not all; the pointer is one of them.
std::vector<std::string> notes_on_unseen_tags(const Job& job, const std::vector<PhotoSightings>& photos);

// Throws Problem(refused) with the line of the first tag that the job needs and no photo shows.
void check_tags_seen(const Job& job, const std::vector<PhotoSightings>& photos);

}  // namespace pivotfix
