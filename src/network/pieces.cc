// SPDX-License-Identifier: Apache-2.0
#include "network/pieces.h"

#include <algorithm>
#include <numeric>

namespace pivotfix {

namespace {

// Joins sets of numbers (Tarjan, "Efficiency of a Good But Not Linear Set Union Algorithm", Journal of the
// ACM 22, 1975).
class DisjointSets {
 public:
  explicit DisjointSets(std::size_t count) : parent_(count) {
    std::iota(parent_.begin(), parent_.end(), std::size_t{0});
  }

  std::size_t root(std::size_t member) {
    while (parent_[member] != member) member = parent_[member] = parent_[parent_[member]];
    return member;
  }

  void join(std::size_t a, std::size_t b) { parent_[root(a)] = root(b); }

 private:
  std::vector<std::size_t> parent_;
};

int largest(const Pieces& pieces) {
  return static_cast<int>(std::max_element(pieces.sightings.begin(), pieces.sightings.end()) -
                          pieces.sightings.begin());
}

}  // namespace

Pieces pieces_of(const Bundle& bundle, int left_out) {
  const std::size_t stations = bundle.stations.size();
  DisjointSets sets(stations + bundle.targets.size());
  const auto takes_part = [&](const BundleObservation& observation) {
    return !observation.rejected && observation.station != left_out;
  };
  for (const BundleObservation& observation : bundle.observations)
    if (takes_part(observation))
      sets.join(static_cast<std::size_t>(observation.station),
                stations + static_cast<std::size_t>(observation.target));
  Pieces pieces;
  pieces.of_station.assign(stations, -1);
  pieces.of_target.assign(bundle.targets.size(), -1);
  std::vector<int> number(stations + bundle.targets.size(), -1);
  for (const BundleObservation& observation : bundle.observations) {
    if (!takes_part(observation)) continue;
    int& piece = number[sets.root(static_cast<std::size_t>(observation.station))];
    if (piece < 0) {
      piece = static_cast<int>(pieces.sightings.size());
      pieces.sightings.push_back(0);
    }
    ++pieces.sightings[piece];
    pieces.of_station[observation.station] = pieces.of_target[observation.target] = piece;
  }
  return pieces;
}

void keep_largest_piece(StartedBundle& started) {
  const Pieces pieces = pieces_of(started.bundle);
  if (pieces.sightings.size() < 2) return;
  const int kept = largest(pieces);
  for (std::size_t i = 0; i < started.used.size(); ++i) {
    const BundleObservation& observation = started.bundle.observations[i];
    if (observation.rejected || pieces.of_station[observation.station] == kept) continue;
    started.reject(i, "hangs apart: no photo that fits shows it together with the others", Fate::cut_off);
  }
}

CutOff cut_off(const StartedBundle& started) {
  const Pieces pieces = pieces_of(started.bundle);
  std::vector<bool> station(pieces.of_station.size()), target(pieces.of_target.size());
  for (std::size_t i = 0; i < started.used.size(); ++i) {
    if (started.used[i].fate != Fate::cut_off) continue;
    station[started.bundle.observations[i].station] = true;
    target[started.bundle.observations[i].target] = true;
  }
  CutOff off;
  for (std::size_t i = 0; i < station.size(); ++i)
    if (station[i] && pieces.of_station[i] < 0) off.stations.push_back(static_cast<int>(i));
  for (std::size_t i = 0; i < target.size(); ++i)
    if (target[i] && pieces.of_target[i] < 0) off.targets.push_back(static_cast<int>(i));
  return off;
}

std::string tags_in_words(const std::vector<int>& targets, const StartedBundle& started) {
  std::string words = targets.size() == 1 ? "tag " : "tags ";
  for (std::size_t i = 0; i < targets.size(); ++i)
    words += (i == 0 ? "" : ", ") + std::to_string(started.tags[targets[i]].number);
  return words;
}

std::vector<SingleTie> single_ties(const Bundle& bundle) {
  const Pieces whole = pieces_of(bundle);
  std::vector<SingleTie> ties;
  for (std::size_t i = 0; i < bundle.stations.size(); ++i) {
    if (whole.of_station[i] < 0) continue;
    const Pieces rest = pieces_of(bundle, static_cast<int>(i));
    if (rest.sightings.size() <= whole.sightings.size()) continue;
    const int most = largest(rest);
    SingleTie tie{static_cast<int>(i), {}};
    for (std::size_t k = 0; k < rest.of_target.size(); ++k)
      if (rest.of_target[k] >= 0 && rest.of_target[k] != most) tie.targets.push_back(static_cast<int>(k));
    ties.push_back(tie);
  }
  return ties;
}

}  // namespace pivotfix
