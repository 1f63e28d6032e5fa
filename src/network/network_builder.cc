// SPDX-License-Identifier: Apache-2.0
#include "network/network_builder.h"

#include <algorithm>
#include <array>

#include "base/side_by_side.h"
#include "network/placing.h"
#include "network/zoomed_photos.h"

namespace pivotfix {

namespace {

// Trial focal lengths, relative to the expected one, when the photos do not say or do not fit.
constexpr std::array<double, 5> focal_trials{1.0, 0.5, 0.7, 1.4, 2.0};
// Mean capped misfit (in units of direction) above which the start is doubted.
constexpr double doubtful_misfit = 0.012;

// The first guess; a focal length that does not fit is replaced by the trial that fits best.
StartPoses find_start_with_focal(StartedBundle& started) {
  const auto corners = corners_of_targets(started);
  const int photos = static_cast<int>(started.bundle.stations.size());
  StartPoses best;
  double best_factor = 1.0;
  for (const double factor : focal_trials) {
    const StartPoses poses =
        find_start(start_sightings(started, factor), photos, corners, started.bundle.threads);
    if (factor == focal_trials.front() || poses.misfit < best.misfit) {
      best = poses;
      best_factor = factor;
    }
    if (best.misfit < doubtful_misfit) break;
  }
  for (BundleLens& lens : started.bundle.lenses) {
    if (lens.calibrated()) continue;
    lens.lens.values[lens_focal_px] *= best_factor;
    lens.expected.values[lens_focal_px] *= best_factor;
    lens.expected_sigma[lens_focal_px] *= best_factor;
  }
  return best;
}

StartPoses poses_of(const StartedBundle& started, const StartPoses& before) {
  StartPoses poses = before;
  for (std::size_t i = 0; i < poses.camera_from_network.size(); ++i)
    if (poses.camera_from_network[i])
      poses.camera_from_network[i] = started.bundle.stations[i].camera_from_network;
  for (std::size_t i = 0; i < poses.network_from_tag.size(); ++i)
    if (poses.network_from_tag[i]) poses.network_from_tag[i] = started.bundle.targets[i].network_from_target;
  return poses;
}

}  // namespace

double NetworkInput::side_mm_of(int tag_number) const {
  const auto other = other_sides_mm.find(tag_number);
  return other == other_sides_mm.end() ? printed_side_mm : other->second;
}

PlacedTag NetworkInput::placed_tag(const PhotoSightings& photo, int tag_number) const {
  if (restless_tags.contains(tag_number)) return {tag_number, photo.set + "/" + photo.part};
  return {tag_number, moving_tags.contains(tag_number) ? photo.set : std::string()};
}

int target_of(const StartedBundle& started, const PlacedTag& tag) {
  const auto place = std::lower_bound(started.tags.begin(), started.tags.end(), tag);
  return place != started.tags.end() && *place == tag ? static_cast<int>(place - started.tags.begin()) : -1;
}

void StartedBundle::reject(std::size_t observation, std::string why, Fate fate) {
  bundle.observations[observation].rejected = true;
  used[observation].why_rejected = std::move(why);
  used[observation].fate = fate;
}

void StartedBundle::readmit(std::size_t observation) {
  bundle.observations[observation].rejected = false;
  used[observation].why_rejected.clear();
  used[observation].fate = Fate::takes_part;
}

std::vector<RejectedSighting> StartedBundle::all_rejected(const NetworkInput& input) const {
  std::vector<RejectedSighting> all = unusable;
  for (std::size_t i = 0; i < used.size(); ++i)
    if (bundle.observations[i].rejected)
      all.push_back({input.photos[used[i].photo].photo, used[i].sighting->tag_number, used[i].why_rejected});
  return all;
}

StartedBundle start_bundle(const NetworkInput& input) {
  StartedBundle started = unplaced_bundle(input);
  StartPoses poses = find_start_with_focal(started);
  take_poses(poses, started);

  constexpr double robust_scale = 3.0, rough_gain = 1e-3;
  adjust(started.bundle, {.lenses_held = true,
                          .robust_scale = robust_scale,
                          .most_iterations = 15,
                          .smallest_gain = rough_gain});
  poses = vote_again(poses_of(started, poses), start_sightings(started, 1.0), corners_of_targets(started),
                     input.threads);
  started.zoomed_photos = set_zoomed_photos_apart(started, poses);
  take_poses(poses, started);
  // Focal length and the strongest distortion first: with poses still rough, the rest would only absorb them.
  const std::vector<BundleLens> as_wished = started.bundle.lenses;
  for (BundleLens& lens : started.bundle.lenses) {
    lens.free.fill(false);
    if (!lens.calibrated()) lens.free[lens_focal_px] = lens.free[lens_k1] = true;
  }
  adjust(started.bundle, {.robust_scale = robust_scale, .most_iterations = 30, .smallest_gain = rough_gain});
  for (std::size_t i = 0; i < as_wished.size(); ++i) started.bundle.lenses[i].free = as_wished[i].free;
  adjust(started.bundle, {.robust_scale = robust_scale, .most_iterations = 30, .smallest_gain = rough_gain});
  poses = vote_again(poses_of(started, poses), start_sightings(started, 1.0), corners_of_targets(started),
                     input.threads);
  take_poses(poses, started);
  return started;
}

void weigh_observations(StartedBundle& started, double noise_scale) {
  Bundle& bundle = started.bundle;
  side_by_side(bundle.observations.size(), bundle.threads, [&](std::size_t i) {
    BundleObservation& observation = bundle.observations[i];
    if (observation.rejected && !started.used[i].suspected()) return;
    const BundleStation& station = bundle.stations[observation.station];
    const auto measured =
        measure_corners(*started.used[i].sighting, bundle.lenses[station.lens].lens, station.shift);
    if (!measured) {
      started.reject(i, "its edges do not make four corners", Fate::unmeasurable);
      return;
    }
    observation.points_px.assign(measured->corner_px.begin(), measured->corner_px.end());
    observation.square_root_information = square_root_information(measured->covariance_px2) / noise_scale;
  });
}

}  // namespace pivotfix
