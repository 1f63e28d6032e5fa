// SPDX-License-Identifier: Apache-2.0
#include "network/moved_tags.h"

#include <algorithm>
#include <optional>

#include "network/outliers.h"
#include "network/rays.h"

namespace pivotfix {

namespace {

struct TagSightings {
  std::vector<std::size_t> observations{};  // taking part, or rejected for their misfit alone
  std::size_t taking_part = 0;
};

TagSightings sightings_of(const StartedBundle& started, std::size_t target) {
  TagSightings found;
  for (std::size_t i = 0; i < started.used.size(); ++i) {
    const BundleObservation& observation = started.bundle.observations[i];
    const UsedSighting& used = started.used[i];
    if (observation.target != static_cast<int>(target) || used.fate == Fate::misfits_with_photo) continue;
    if (observation.rejected && !used.suspected()) continue;
    found.observations.push_back(i);
    if (!observation.rejected) ++found.taking_part;
  }
  return found;
}

struct Place {
  Eigen::Vector3d centre_mm{};
  double cost_px2 = 0.0;  // sum of squared misses, none counted as more than what is tolerated
};

Place seen_at(const Eigen::Vector3d& centre_mm, const std::vector<Ray>& rays, double tolerated_px) {
  Place place{centre_mm};
  for (const Ray& ray : rays) {
    const double miss = std::min(miss_px(ray, centre_mm), tolerated_px);
    place.cost_px2 += miss * miss;
  }
  return place;
}

// Where two rays meet and the others come nearest (sample consensus: Torr and Zisserman, "MLESAC", Computer
// Vision and Image Understanding 78, 2000, section 3, from memory; here without chance), then where all meet
// that come near.
std::optional<Place> most_met(const std::vector<Ray>& rays, double tolerated_px) {
  constexpr std::size_t most_pairs = 2000;  // of many sightings, pairs spread over all
  const std::size_t stride = 1 + rays.size() * (rays.size() - 1) / 2 / most_pairs;
  std::optional<Place> best;
  std::size_t pair = 0;
  for (std::size_t a = 0; a < rays.size(); ++a)
    for (std::size_t b = a + 1; b < rays.size(); ++b) {
      if (pair++ % stride != 0) continue;
      const auto meet = meeting_point({rays[a], rays[b]}, tolerated_px);
      if (!meet) continue;
      const Place place = seen_at(*meet, rays, tolerated_px);
      if (!best || place.cost_px2 < best->cost_px2) best = place;
    }
  if (!best) return best;
  std::vector<Ray> near;
  for (const Ray& ray : rays)
    if (miss_px(ray, best->centre_mm) <= tolerated_px) near.push_back(ray);
  if (const auto meet = meeting_point(near, 2.0 * tolerated_px)) best = seen_at(*meet, rays, tolerated_px);
  return best;
}

bool place_anew(StartedBundle& started, std::size_t target) {
  constexpr double least_gain = 0.2;  // of the cost
  const TagSightings sightings = sightings_of(started, target);
  if (sightings.observations.size() < sightings.taking_part + 2) return false;
  std::vector<Ray> rays;
  double tolerated_px = 0.0;
  for (const std::size_t i : sightings.observations) {
    rays.push_back(ray_to_centre(started, i));
    tolerated_px = std::max(tolerated_px, tolerated_miss_px(started, started.bundle.observations[i]));
  }
  Eigen::Vector3d& centre_mm = started.bundle.targets[target].network_from_target.translation_mm;
  const Place now = seen_at(centre_mm, rays, tolerated_px);
  const auto place = most_met(rays, tolerated_px);
  if (!place || place->cost_px2 > (1.0 - least_gain) * now.cost_px2) return false;
  centre_mm = place->centre_mm;
  for (std::size_t i = 0; i < rays.size(); ++i)
    if (miss_px(rays[i], centre_mm) <= tolerated_px)
      started.readmit(sightings.observations[i]);
    else
      started.reject(sightings.observations[i], "does not fit: most other photos show the tag elsewhere",
                     Fate::misfits);
  return true;
}

}  // namespace

int place_where_most_meet(StartedBundle& started) {
  int count = 0;
  for (std::size_t target = 0; target < started.bundle.targets.size(); ++target)
    count += place_anew(started, target);
  return count;
}

}  // namespace pivotfix
