// SPDX-License-Identifier: Apache-2.0
#include "network/warm_start.h"

#include <algorithm>
#include <optional>

#include "base/problem.h"
#include "network/adjustment.h"
#include "network/placing.h"
#include "network/zoomed_photos.h"

namespace pivotfix {

namespace {

constexpr int fewest_known_tags = 3;

// False where a camera is new, was zoomed, or is not told apart from another by its words.
bool take_lenses(const Network& before, StartedBundle& started) {
  if (before.lenses.size() != started.groups.size()) return false;
  for (std::size_t i = 0; i < started.groups.size(); ++i) {
    const auto same = [&](const LensEstimate& lens) { return lens.camera == started.groups[i].words; };
    if (std::count_if(before.lenses.begin(), before.lenses.end(), same) != 1) return false;
    started.bundle.lenses[i].lens = std::find_if(before.lenses.begin(), before.lenses.end(), same)->lens;
  }
  return true;
}

// What the earlier result knows of this job's photos and tags; the latter's sides go into the bundle.
std::optional<StartPoses> known_poses(const Network& before, const NetworkInput& input,
                                      StartedBundle& started) {
  StartPoses poses;
  poses.camera_from_network.resize(input.photos.size());
  poses.network_from_tag.resize(started.tags.size());
  int known_tags = 0;
  for (const TagInSpace& tag : before.tags) {
    const int target = target_of(started, {tag.number, tag.set});
    if (target < 0) continue;
    if (known_tags++ == 0) poses.root_tag = target;
    poses.network_from_tag[target] = tag.network_from_tag;
    started.bundle.sizes[started.bundle.targets[target].size].factor =
        tag.side_mm / input.side_mm_of(tag.number);
  }
  if (known_tags < fewest_known_tags) return std::nullopt;
  for (const Station& station : before.stations) {
    const auto photo = std::find_if(input.photos.begin(), input.photos.end(),
                                    [&](const PhotoSightings& p) { return p.photo == station.photo; });
    if (!station.used || photo == input.photos.end()) continue;
    const auto index = photo - input.photos.begin();
    poses.camera_from_network[index] = station.network_from_camera.inverse();
    started.bundle.stations[index].shift = station.shift;
  }
  return poses;
}

std::optional<StartedBundle> start_from(const Network& before, const NetworkInput& input) {
  StartedBundle started = unplaced_bundle(input);
  if (!take_lenses(before, started)) return std::nullopt;
  const auto known = known_poses(before, input, started);
  if (!known) return std::nullopt;
  StartPoses poses =
      vote_again(*known, start_sightings(started, 1.0), corners_of_targets(started), input.threads);
  if (!set_zoomed_photos_apart(started, poses).empty()) return std::nullopt;
  take_poses(poses, started);
  started.bundle.shift_sigma = before.shift_sigma;
  return started;
}

// Whether the photos, as they are now, would rather have something stand elsewhere than the start had it.
bool contradicts(const Adjustment& done) {
  const Bundle& bundle = done.started.bundle;
  std::vector<int> of_station(bundle.stations.size()), of_target(bundle.targets.size());
  for (const BundleObservation& observation : bundle.observations) {
    const int vote = observation.rejected ? -1 : 1;
    of_station[observation.station] += vote;
    of_target[observation.target] += vote;
  }
  const auto outvoted = [](int votes) { return votes < 0; };
  return std::any_of(of_station.begin(), of_station.end(), outvoted) ||
         std::any_of(of_target.begin(), of_target.end(), outvoted);
}

// Empty where the earlier result is of no use.
std::optional<Adjustment> adjust_from(const Network& before, const NetworkInput& input) {
  try {
    auto started = start_from(before, input);
    if (!started) return std::nullopt;
    Adjustment done = adjust_in_rounds(std::move(*started), input);
    if (contradicts(done)) return std::nullopt;
    return done;
  } catch (const Problem& problem) {
    if (problem.kind() != ProblemKind::refused) throw;
    return std::nullopt;  // from nothing it is refused for its true reason, or not at all
  }
}

}  // namespace

Network adjust_network_again(const NetworkInput& input, const Network& before) {
  const auto done = adjust_from(before, input);
  return done ? finish(*done, input) : adjust_network(input);
}

}  // namespace pivotfix
