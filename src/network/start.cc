// SPDX-License-Identifier: Apache-2.0
#include "network/start.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/side_by_side.h"

namespace pivotfix {

using Corners = std::array<Eigen::Vector3d, 4>;

namespace {

// A misfit beyond this (in units of direction, about 3 degrees) says "wrong", not how wrong.
constexpr double cap = 0.05;
// A relative pose is voted on by at most this many photos: more add time, not certainty.
constexpr std::size_t most_voters = 10;

// A photo or tag is placed by what at most this many of its sightings say; all sightings then vote. One of
// two guesses of each is right, so more add time, not certainty.
constexpr std::size_t most_guessers = 16;

using SightingList = std::vector<const StartSighting*>;

double misfit(const RigidTransform& camera_from_tag, const Corners& corners, const StartSighting& sighting) {
  const Eigen::Matrix3d axes = camera_from_tag.rotation.toRotationMatrix();
  double worst = 0.0;
  for (int i = 0; i < 4; ++i) {
    const Eigen::Vector3d seen = axes * corners[i] + camera_from_tag.translation_mm;
    if (seen.z() <= 0.0) return cap;
    worst = std::max(worst, (seen.hnormalized() - sighting.direction[i]).squaredNorm());
  }
  return std::min(cap, std::sqrt(worst));
}

struct RelativePose {
  RigidTransform first_from_second{};
  double cost = std::numeric_limits<double>::infinity();
};

using Together = std::vector<std::array<const StartSighting*, 2>>;

// An even choice among many, not the first ones, which often look from one side.
template <typename Value>
std::vector<Value> even_choice(const std::vector<Value>& all, std::size_t most) {
  if (all.size() <= most) return all;
  std::vector<Value> chosen;
  for (std::size_t i = 0; i < most; ++i) chosen.push_back(all[i * all.size() / most]);
  return chosen;
}

// Infinite as soon as it is sure to exceed `enough`.
double mean_misfit(const RigidTransform& first_from_second, const Together& together,
                   const Corners& second_corners, double enough) {
  const double most = enough * static_cast<double>(together.size());
  double sum = 0.0;
  for (const auto& [first, second] : together) {
    double best = cap;
    for (const RigidTransform& camera_from_first : first->poses.camera_from_tag)
      best = std::min(best, misfit(camera_from_first * first_from_second, second_corners, *second));
    sum += best;
    if (sum > most) return std::numeric_limits<double>::infinity();
  }
  return sum / static_cast<double>(together.size());
}

RelativePose vote_relative_pose(const Together& together, const Corners& second_corners) {
  RelativePose best;
  for (const auto& [first, second] : together)
    for (const RigidTransform& camera_from_first : first->poses.camera_from_tag)
      for (const RigidTransform& camera_from_second : second->poses.camera_from_tag) {
        const RigidTransform first_from_second = camera_from_first.inverse() * camera_from_second;
        const double cost = mean_misfit(first_from_second, together, second_corners, best.cost);
        if (cost < best.cost) best = {first_from_second, cost};
      }
  // The photo that a guess came from fits it by itself: few photos prove little, a single one nothing.
  const auto count = static_cast<double>(together.size());
  best.cost = count > 1.0 ? best.cost * count / (count - 1.0) + cap / (count * count) : 2.0 * cap;
  return best;
}

std::vector<SightingList> by_photo(const std::vector<StartSighting>& sightings, std::size_t photos) {
  std::vector<SightingList> lists(photos);
  for (const StartSighting& sighting : sightings) lists[sighting.photo].push_back(&sighting);
  return lists;
}

std::vector<SightingList> by_tag(const std::vector<StartSighting>& sightings, std::size_t tags) {
  std::vector<SightingList> lists(tags);
  for (const StartSighting& sighting : sightings) lists[sighting.tag].push_back(&sighting);
  return lists;
}

Together photos_with_both(const SightingList& first, const SightingList& second) {
  Together together;
  for (const StartSighting* a : first)
    for (const StartSighting* b : second)
      if (a->photo == b->photo) together.push_back({a, b});
  return even_choice(together, most_voters);
}

// Cheapest chains from the root (Dijkstra): errors add up along a chain.
std::vector<std::optional<RigidTransform>> chain_tags(const std::vector<std::vector<RelativePose>>& relative,
                                                      std::size_t root) {
  const std::size_t tags = relative.size();
  std::vector<double> cost(tags, std::numeric_limits<double>::infinity());
  std::vector<bool> done(tags, false);
  std::vector<std::optional<RigidTransform>> network_from_tag(tags);
  cost[root] = 0.0;
  network_from_tag[root] = RigidTransform{};
  for (;;) {
    std::size_t next = tags;
    for (std::size_t i = 0; i < tags; ++i)
      if (!done[i] && std::isfinite(cost[i]) && (next == tags || cost[i] < cost[next])) next = i;
    if (next == tags) return network_from_tag;
    done[next] = true;
    for (std::size_t i = 0; i < tags; ++i) {
      const RelativePose& step = relative[next][i];
      if (cost[next] + step.cost >= cost[i]) continue;
      cost[i] = cost[next] + step.cost;
      network_from_tag[i] = *network_from_tag[next] * step.first_from_second;
    }
  }
}

void place_photos(StartPoses& poses, const std::vector<SightingList>& photo_lists,
                  const std::vector<Corners>& corners, int threads) {
  side_by_side(photo_lists.size(), threads, [&](std::size_t photo) {
    if (const auto placed = place_photo(static_cast<int>(photo), photo_lists[photo], poses, corners))
      poses.camera_from_network[photo] = placed->camera_from_network;
  });
}

void place_tags(StartPoses& poses, const std::vector<SightingList>& tag_lists,
                const std::vector<Corners>& corners, int threads) {
  side_by_side(tag_lists.size(), threads, [&](std::size_t tag) {
    if (static_cast<int>(tag) == poses.root_tag) return;
    SightingList known;
    for (const StartSighting* sighting : tag_lists[tag])
      if (poses.camera_from_network[sighting->photo]) known.push_back(sighting);
    double best = std::numeric_limits<double>::infinity();
    const auto try_pose = [&](const RigidTransform& network_from_tag) {
      double sum = 0.0;
      for (const StartSighting* sighting : known) {
        sum +=
            misfit(*poses.camera_from_network[sighting->photo] * network_from_tag, corners[tag], *sighting);
        if (sum >= best) return;
      }
      best = sum;
      poses.network_from_tag[tag] = network_from_tag;
    };
    if (const auto before = poses.network_from_tag[tag]; before && !known.empty()) try_pose(*before);
    for (const StartSighting* sighting : even_choice(known, most_guessers))
      for (const RigidTransform& camera_from_tag : sighting->poses.camera_from_tag)
        try_pose(poses.camera_from_network[sighting->photo]->inverse() * camera_from_tag);
  });
}

double mean_misfit(const StartPoses& poses, const std::vector<StartSighting>& sightings,
                   const std::vector<Corners>& corners) {
  double sum = 0.0;
  for (const StartSighting& sighting : sightings) {
    const auto& camera = poses.camera_from_network[sighting.photo];
    const auto& tag = poses.network_from_tag[sighting.tag];
    sum += camera && tag ? misfit(*camera * *tag, corners[sighting.tag], sighting) : cap;
  }
  return sightings.empty() ? cap : sum / static_cast<double>(sightings.size());
}

}  // namespace

std::optional<StartPhoto> place_photo(int photo, const std::vector<const StartSighting*>& sightings,
                                      const StartPoses& poses, const std::vector<Corners>& corners) {
  std::vector<const StartSighting*> known;
  for (const StartSighting* sighting : sightings)
    if (poses.network_from_tag[sighting->tag]) known.push_back(sighting);
  if (known.empty()) return std::nullopt;
  double best = std::numeric_limits<double>::infinity();
  StartPhoto placed;
  const auto try_pose = [&](const RigidTransform& camera_from_network) {
    double sum = 0.0;
    for (const StartSighting* sighting : known) {
      sum += misfit(camera_from_network * *poses.network_from_tag[sighting->tag], corners[sighting->tag],
                    *sighting);
      if (sum >= best) return;
    }
    best = sum;
    placed.camera_from_network = camera_from_network;
  };
  if (const auto before = poses.camera_from_network[photo]) try_pose(*before);
  for (const StartSighting* sighting : even_choice(known, most_guessers))
    for (const RigidTransform& camera_from_tag : sighting->poses.camera_from_tag)
      try_pose(camera_from_tag * poses.network_from_tag[sighting->tag]->inverse());
  placed.misfit = best / static_cast<double>(known.size());
  return placed;
}

StartPoses find_start(const std::vector<StartSighting>& sightings, int photos,
                      const std::vector<Corners>& corner_tag_mm, int threads) {
  const std::size_t tags = corner_tag_mm.size();
  const auto tag_lists = by_tag(sightings, tags);
  std::vector<std::vector<RelativePose>> relative(tags, std::vector<RelativePose>(tags));
  side_by_side(tags, threads, [&](std::size_t a) {
    for (std::size_t b = a + 1; b < tags; ++b) {
      const Together together = photos_with_both(tag_lists[a], tag_lists[b]);
      if (together.empty()) continue;
      relative[a][b] = vote_relative_pose(together, corner_tag_mm[b]);
      relative[b][a] = {relative[a][b].first_from_second.inverse(), relative[a][b].cost};
    }
  });
  StartPoses poses;
  poses.camera_from_network.resize(photos);
  const auto most_seen = std::max_element(tag_lists.begin(), tag_lists.end(),
                                          [](const auto& a, const auto& b) { return a.size() < b.size(); });
  poses.root_tag = static_cast<int>(most_seen - tag_lists.begin());
  if (tags > 0) poses.network_from_tag = chain_tags(relative, poses.root_tag);
  return vote_again(poses, sightings, corner_tag_mm, threads);
}

StartPoses vote_again(const StartPoses& poses, const std::vector<StartSighting>& sightings,
                      const std::vector<Corners>& corner_tag_mm, int threads) {
  const auto photo_lists = by_photo(sightings, poses.camera_from_network.size());
  const auto tag_lists = by_tag(sightings, corner_tag_mm.size());
  StartPoses voted = poses;
  for (int round = 0; round < 2; ++round) {
    place_photos(voted, photo_lists, corner_tag_mm, threads);
    place_tags(voted, tag_lists, corner_tag_mm, threads);
  }
  voted.misfit = mean_misfit(voted, sightings, corner_tag_mm);
  return voted;
}

}  // namespace pivotfix
