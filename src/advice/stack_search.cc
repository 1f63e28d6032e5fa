// SPDX-License-Identifier: Apache-2.0
// Dynamic programming on a grid of a micrometre. When all spacers are on the stud, over the sum between
// alone, in a table. When some may stay in the box, over all pairs (sum between, sum on the stud) as sorted
// lists, to which a kind is added by merging shifted copies; where that would take too long, the table gives
// the sums between, and a second table the other side of each that is near.
#include "advice/stack_search.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <optional>

namespace pivotfix {
namespace {

// One spacer more between weighs more than any number of spacers moved.
constexpr int cost_of_spacer = 10000;
constexpr int ticks_of_like_totals = 10;        // a hundredth of a millimetre
constexpr std::size_t most_effort = 6'000'000;  // entries of lists: some hundredths of a second
constexpr int most_tries = 100;                 // of sums whose other side may not add up

int moved(const SpacerKind& kind, int between, int other_side) {
  return std::abs(between - kind.between_now) + std::abs(other_side - kind.other_side_now);
}

// --- One sum, in a table.

constexpr int no_way = std::numeric_limits<int>::max();

struct Table {
  std::vector<int> cost{};                          // by sum; no_way where there is none
  std::vector<std::vector<std::uint16_t>> count{};  // by kind, then sum
};

// `costs[k][n]` is what n spacers of kind k cost, as many as may be used.
Table table_of(const std::vector<SpacerKind>& kinds, const std::vector<std::vector<int>>& costs,
               int largest_ticks) {
  const std::size_t size = static_cast<std::size_t>(std::max(largest_ticks, 0)) + 1;
  Table table;
  table.cost.assign(size, no_way);
  table.cost[0] = 0;
  std::vector<int> before;
  for (std::size_t k = 0; k < kinds.size(); ++k) {
    before = table.cost;
    std::vector<std::uint16_t> count(size, 0);
    for (std::size_t sum = 0; sum < size; ++sum)
      if (before[sum] != no_way) table.cost[sum] = before[sum] + costs[k][0];
    for (std::size_t n = 1; n < costs[k].size(); ++n) {
      const std::size_t shift = n * static_cast<std::size_t>(kinds[k].ticks);
      for (std::size_t sum = shift; sum < size; ++sum) {
        const int from = before[sum - shift];
        if (from == no_way || from + costs[k][n] >= table.cost[sum]) continue;
        table.cost[sum] = from + costs[k][n];
        count[sum] = static_cast<std::uint16_t>(n);
      }
    }
    table.count.push_back(std::move(count));
  }
  return table;
}

std::vector<int> counts_at(const Table& table, const std::vector<SpacerKind>& kinds, int ticks) {
  std::vector<int> counts(kinds.size(), 0);
  for (std::size_t k = kinds.size(); k-- > 0;) {
    counts[k] = table.count[k][static_cast<std::size_t>(ticks)];
    ticks -= counts[k] * kinds[k].ticks;
  }
  return counts;
}

Table between_table(const std::vector<SpacerKind>& kinds, const SumsWanted& wanted) {
  std::vector<std::vector<int>> costs;
  for (const SpacerKind& kind : kinds) {
    std::vector<int> of_kind;
    for (int n = 0; n <= kind.spacer.count; ++n)
      of_kind.push_back(n * cost_of_spacer + (wanted.all_on_stud ? moved(kind, n, kind.spacer.count - n)
                                                                 : std::abs(n - kind.between_now)));
    costs.push_back(std::move(of_kind));
  }
  return table_of(kinds, costs, wanted.largest_between_ticks);
}

// What goes to the other side so that the sum on the stud is right; nothing when no spacers left do that.
std::optional<std::vector<int>> other_side_of(const std::vector<SpacerKind>& kinds, const SumsWanted& wanted,
                                              const Placement& placement) {
  std::vector<std::vector<int>> costs;
  for (std::size_t k = 0; k < kinds.size(); ++k) {
    std::vector<int> of_kind;
    for (int n = 0; n <= kinds[k].spacer.count - placement.between[k]; ++n)
      of_kind.push_back(std::abs(n - kinds[k].other_side_now));
    costs.push_back(std::move(of_kind));
  }
  const int largest = wanted.largest_stud_ticks - placement.between_ticks;
  if (largest < 0) return std::nullopt;
  const Table table = table_of(kinds, costs, largest);
  std::optional<int> best;
  std::pair<int, int> least{no_way, no_way};
  for (int sum = std::max(0, wanted.smallest_stud_ticks - placement.between_ticks); sum <= largest; ++sum) {
    const int cost = table.cost[static_cast<std::size_t>(sum)];
    if (cost == no_way) continue;
    const int off = std::abs(placement.between_ticks + sum - wanted.stud_ticks);
    const std::pair<int, int> here{(off + ticks_of_like_totals / 2) / ticks_of_like_totals, cost};
    if (here < least) {
      least = here;
      best = sum;
    }
  }
  if (!best) return std::nullopt;
  return counts_at(table, kinds, *best);
}

bool apart(int ticks, const std::vector<Placement>& placements, double apart_ticks) {
  return std::none_of(placements.begin(), placements.end(), [&](const Placement& other) {
    return std::abs(other.between_ticks - ticks) < apart_ticks;
  });
}

struct Candidate {
  int between_ticks = 0;
  double miss_ticks = 0.0;
  int cost = 0;
  std::int64_t key = 0;  // of the list, where there is one
};

void sort(std::vector<Candidate>& candidates) {
  std::stable_sort(candidates.begin(), candidates.end(), [](const Candidate& a, const Candidate& b) {
    return std::pair(a.miss_ticks, a.cost) < std::pair(b.miss_ticks, b.cost);
  });
}

double miss_of(int between_ticks, const SumsWanted& wanted) {
  return std::abs(std::round(between_ticks - wanted.between_ticks));
}

std::vector<Placement> placements_by_tables(const std::vector<SpacerKind>& kinds, const SumsWanted& wanted) {
  const Table table = between_table(kinds, wanted);
  std::vector<Candidate> candidates;
  for (std::size_t sum = 0; sum < table.cost.size(); ++sum)
    if (table.cost[sum] != no_way) {
      const int ticks = static_cast<int>(sum);
      candidates.push_back({ticks, miss_of(ticks, wanted), table.cost[sum], 0});
    }
  sort(candidates);
  std::vector<Placement> placements;
  int tries = 0;
  for (const Candidate& candidate : candidates) {
    if (placements.size() == wanted.most || tries == most_tries) break;
    if (!apart(candidate.between_ticks, placements, wanted.apart_ticks)) continue;
    Placement placement{counts_at(table, kinds, candidate.between_ticks), {}, candidate.between_ticks};
    if (wanted.all_on_stud) {
      for (std::size_t k = 0; k < kinds.size(); ++k)
        placement.other_side.push_back(kinds[k].spacer.count - placement.between[k]);
    } else {
      ++tries;
      const auto other_side = other_side_of(kinds, wanted, placement);
      if (!other_side) continue;
      tries = 0;
      placement.other_side = *other_side;
    }
    placements.push_back(std::move(placement));
  }
  return placements;
}

// --- Both sums, in lists.

// Sum between in the high bits, sum on the stud in the low ones: sorting by key sorts by the sum between.
constexpr int sum_bits = 20;  // of a thickness on the grid: up to a metre
using Key = std::int64_t;
Key key_of(int between_ticks, int stud_ticks) {
  return (static_cast<Key>(between_ticks) << sum_bits) + stud_ticks;
}
int between_ticks_of(Key key) {
  return static_cast<int>(key >> sum_bits);
}
int stud_ticks_of(Key key) {
  return static_cast<int>(key & ((Key{1} << sum_bits) - 1));
}

// Every way to a pair of sums costs something; only the cheapest is kept.
struct Way {
  Key key = 0;
  int cost = 0;
  std::int16_t between = 0;  // spacers of the last kind
  std::int16_t other_side = 0;
};
using Ways = std::vector<Way>;  // sorted by key, each key once

Ways merged(const Ways& a, const Ways& b) {
  Ways result;
  result.reserve(a.size() + b.size());
  std::size_t i = 0;
  std::size_t j = 0;
  while (i < a.size() || j < b.size()) {
    if (j == b.size() || (i < a.size() && a[i].key < b[j].key))
      result.push_back(a[i++]);
    else if (i == a.size() || b[j].key < a[i].key)
      result.push_back(b[j++]);
    else {
      result.push_back(b[j].cost < a[i].cost ? b[j] : a[i]);
      ++i;
      ++j;
    }
  }
  return result;
}

Ways shifted(const Ways& ways, const SpacerKind& kind, int between, int other_side,
             const SumsWanted& wanted) {
  const Key shift = key_of(between * kind.ticks, (between + other_side) * kind.ticks);
  const int cost = between * cost_of_spacer + moved(kind, between, other_side);
  Ways result;
  result.reserve(ways.size());
  for (const Way& way : ways) {
    const Key key = way.key + shift;
    if (between_ticks_of(key) > wanted.largest_between_ticks) break;
    if (stud_ticks_of(key) > wanted.largest_stud_ticks) continue;
    result.push_back(
        {key, way.cost + cost, static_cast<std::int16_t>(between), static_cast<std::int16_t>(other_side)});
  }
  return result;
}

// After each kind the ways with all kinds up to it; nothing when that takes too long.
std::optional<std::vector<Ways>> layers_of(const std::vector<SpacerKind>& kinds, const SumsWanted& wanted) {
  std::vector<Ways> layers{{Way{}}};
  std::size_t effort = 0;
  for (const SpacerKind& kind : kinds) {
    Ways result;
    for (int between = 0; between <= kind.spacer.count; ++between)
      for (int other_side = 0; between + other_side <= kind.spacer.count; ++other_side) {
        const Ways more = shifted(layers.back(), kind, between, other_side, wanted);
        effort += result.size() + more.size();
        if (effort > most_effort) return std::nullopt;
        result = merged(result, more);
      }
    layers.push_back(std::move(result));
  }
  return layers;
}

// The best way to each sum between.
std::vector<Candidate> candidates_of(const Ways& ways, const SumsWanted& wanted) {
  std::vector<Candidate> all;
  std::pair<int, int> best{};
  for (const Way& way : ways) {
    const int stud = stud_ticks_of(way.key);
    if (stud < wanted.smallest_stud_ticks || stud > wanted.largest_stud_ticks) continue;
    const int off = (std::abs(stud - wanted.stud_ticks) + ticks_of_like_totals / 2) / ticks_of_like_totals;
    const int between = between_ticks_of(way.key);
    const Candidate candidate{between, miss_of(between, wanted), way.cost, way.key};
    const std::pair<int, int> here{off, way.cost};
    if (all.empty() || all.back().between_ticks != between)
      all.push_back(candidate);
    else if (here < best)
      all.back() = candidate;
    else
      continue;
    best = here;
  }
  sort(all);
  return all;
}

Placement placement_of(const std::vector<SpacerKind>& kinds, const std::vector<Ways>& layers, Key key) {
  Placement placement{std::vector<int>(kinds.size(), 0), std::vector<int>(kinds.size(), 0),
                      between_ticks_of(key)};
  for (std::size_t k = kinds.size(); k-- > 0;) {
    const Ways& ways = layers[k + 1];
    const auto way = std::lower_bound(ways.begin(), ways.end(), key,
                                      [](const Way& one, Key wanted) { return one.key < wanted; });
    placement.between[k] = way->between;
    placement.other_side[k] = way->other_side;
    key -= key_of(way->between * kinds[k].ticks, (way->between + way->other_side) * kinds[k].ticks);
  }
  return placement;
}

}  // namespace

std::vector<Placement> nearest_placements(const std::vector<SpacerKind>& kinds, const SumsWanted& wanted) {
  if (wanted.all_on_stud) return placements_by_tables(kinds, wanted);
  const std::optional<std::vector<Ways>> layers = layers_of(kinds, wanted);
  if (!layers) return placements_by_tables(kinds, wanted);
  std::vector<Placement> placements;
  for (const Candidate& candidate : candidates_of(layers->back(), wanted)) {
    if (placements.size() == wanted.most) break;
    if (apart(candidate.between_ticks, placements, wanted.apart_ticks))
      placements.push_back(placement_of(kinds, *layers, candidate.key));
  }
  return placements;
}

}  // namespace pivotfix
