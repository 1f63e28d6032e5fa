// SPDX-License-Identifier: Apache-2.0
// Dynamic programming over the kinds of spacers: all reachable pairs (sum between, sum on the stud) on a grid
// of a micrometre, each with its cheapest way. Lists stay sorted, so a kind is added by merging shifted
// copies.
#include "advice/stack.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>

#include "advice/spacer_kinds.h"
#include "base/length_words.h"
#include "base/problem.h"
#include "base/units.h"

namespace pivotfix {
namespace {

constexpr double reach_mm = 60.0;  // thicker than wanted by more than this is never near
// One spacer more between weighs more than any number of spacers moved.
constexpr int cost_of_spacer = 10000;
constexpr std::size_t most_ways = 4'000'000;
constexpr int sum_bits = 20;  // of a thickness on the grid: up to a metre

// Sum between in the high bits, sum on the stud in the low ones: sorting by key sorts by the sum between.
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

struct Limits {
  int between_ticks = 0;
  int stud_ticks = 0;
  bool all_on_stud = true;
};

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

Ways shifted(const Ways& ways, const SpacerKind& kind, int between, int other_side, const Limits& limits) {
  const Key shift = key_of(between * kind.ticks, (between + other_side) * kind.ticks);
  const int moved = std::abs(between - kind.between_now) + std::abs(other_side - kind.other_side_now);
  Ways result;
  result.reserve(ways.size());
  for (const Way& way : ways) {
    const Key key = way.key + shift;
    if (between_ticks_of(key) > limits.between_ticks) break;
    if (stud_ticks_of(key) > limits.stud_ticks) continue;
    result.push_back({key, way.cost + between * cost_of_spacer + moved, static_cast<std::int16_t>(between),
                      static_cast<std::int16_t>(other_side)});
  }
  return result;
}

Ways with_kind(const Ways& ways, const SpacerKind& kind, const Limits& limits) {
  Ways result;
  const int count = kind.spacer.count;
  for (int between = 0; between <= count; ++between)
    for (int other_side = limits.all_on_stud ? count - between : 0; between + other_side <= count;
         ++other_side) {
      result = merged(result, shifted(ways, kind, between, other_side, limits));
      if (result.size() > most_ways)
        throw Problem(ProblemKind::input, "There are too many ways to stack these spacers to try them all.",
                      "Name fewer: only those that are really at hand.");
    }
  return result;
}

// After each kind the ways with all kinds up to it.
std::vector<Ways> layers_of(const std::vector<SpacerKind>& kinds, const Limits& limits) {
  std::vector<Ways> layers{{Way{}}};
  for (const SpacerKind& kind : kinds) layers.push_back(with_kind(layers.back(), kind, limits));
  return layers;
}

void add_spacers(const Spacer& spacer, int count, std::vector<Spacer>& to) {
  if (count > 0) to.push_back({spacer.thickness_mm, count, spacer.label});
}

Stack stack_of(const std::vector<SpacerKind>& kinds, const std::vector<Ways>& layers, Key key) {
  Stack stack;
  for (std::size_t k = kinds.size(); k-- > 0;) {
    const Ways& ways = layers[k + 1];
    const auto way = std::lower_bound(ways.begin(), ways.end(), key,
                                      [](const Way& one, Key wanted) { return one.key < wanted; });
    const SpacerKind& kind = kinds[k];
    add_spacers(kind.spacer, way->between, stack.between);
    add_spacers(kind.spacer, way->other_side, stack.other_side);
    add_spacers(kind.spacer, kind.spacer.count - way->between - way->other_side, stack.left_over);
    key -= key_of(way->between * kind.ticks, (way->between + way->other_side) * kind.ticks);
  }
  for (std::vector<Spacer>* spacers : {&stack.between, &stack.other_side, &stack.left_over})
    std::reverse(spacers->begin(), spacers->end());
  return stack;
}

// The thin-necked spacers stand against the rod end's faces.
void add_high_misalignment(const RodEnd& rod_end, Stack& stack) {
  const Spacer neck = high_misalignment_spacer(rod_end);
  stack.between.push_back(neck);
  stack.other_side.insert(stack.other_side.begin(), neck);
}

void add_figures(const RodEnd& rod_end, Stack& stack) {
  stack.between_mm = total_thickness_mm(stack.between);
  stack.total_mm = stack.between_mm + total_thickness_mm(stack.other_side);
  stack.thread_beyond_nut_mm = thread_beyond_nut_mm(rod_end, stack.total_mm);
}

double up_per_spacer(const RodEnd& rod_end) {
  return rod_end.mount == RodEndMount::below_arm ? -1.0 : 1.0;
}

// Ordinary spacers between that give the height change.
double wanted_between_mm(const RodEnd& rod_end, double height_change_mm) {
  const bool new_necks = rod_end.high_misalignment && !rod_end.high_misalignment->on_car;
  return total_thickness_mm(rod_end.between_now) + up_per_spacer(rod_end) * height_change_mm -
         (new_necks ? rod_end.high_misalignment->thickness_mm : 0.0);
}

// What all ordinary spacers on the stud add up to when it is right.
double intended_total_mm(const RodEnd& rod_end) {
  if (rod_end.stack_total_mm) return *rod_end.stack_total_mm;
  return total_thickness_mm(rod_end.between_now) +
         total_thickness_mm(rod_end.other_side_now.value_or(std::vector<Spacer>{}));
}

struct Candidate {
  Key key = 0;
  double miss_ticks = 0.0;
  double total_miss_mm = 0.0;
  int cost = 0;
};

// The best way to each sum between, nearest to the wanted one first.
std::vector<Candidate> candidates(const Ways& ways, const RodEnd& rod_end, double wanted_ticks) {
  const bool free_total = may_leave_spacers_over(rod_end);
  const double total_mm = intended_total_mm(rod_end);
  const double most_mm = largest_total_mm(rod_end);
  std::vector<Candidate> all;
  for (const Way& way : ways) {
    const double stud_mm = stud_ticks_of(way.key) * grid_mm;
    const double total_miss = free_total ? std::abs(stud_mm - total_mm) : 0.0;
    if (total_miss > total_tolerance_mm + 0.5 * grid_mm || stud_mm > most_mm + grid_mm) continue;
    const Candidate candidate{way.key, std::abs(std::round(between_ticks_of(way.key) - wanted_ticks)),
                              std::round(total_miss / 0.01) * 0.01, way.cost};
    const bool same_sum = !all.empty() && between_ticks_of(all.back().key) == between_ticks_of(candidate.key);
    if (!same_sum)
      all.push_back(candidate);
    else if (std::pair(candidate.total_miss_mm, candidate.cost) <
             std::pair(all.back().total_miss_mm, all.back().cost))
      all.back() = candidate;
  }
  std::stable_sort(all.begin(), all.end(), [](const Candidate& a, const Candidate& b) {
    return std::pair(a.miss_ticks, a.cost) < std::pair(b.miss_ticks, b.cost);
  });
  return all;
}

}  // namespace

double total_thickness_mm(const std::vector<Spacer>& spacers) {
  double total = 0.0;
  for (const Spacer& spacer : spacers) total += spacer.count * spacer.thickness_mm;
  return total;
}

double largest_total_mm(const RodEnd& rod_end) {
  if (!(rod_end.stud.length_mm > 0.0)) return std::numeric_limits<double>::infinity();
  const double necks_mm = rod_end.high_misalignment ? 2.0 * rod_end.high_misalignment->thickness_mm : 0.0;
  return rod_end.stud.length_mm - rod_end.stud.nut_height_mm - rod_end.stud.thread_beyond_nut_mm -
         rod_end.sizes.ball_width_mm - necks_mm;
}

double thread_beyond_nut_mm(const RodEnd& rod_end, double total_mm) {
  if (!(rod_end.stud.length_mm > 0.0)) return std::numeric_limits<double>::quiet_NaN();
  return rod_end.stud.length_mm - rod_end.stud.nut_height_mm - rod_end.sizes.ball_width_mm - total_mm;
}

Stack stack_now(const RodEnd& rod_end) {
  Stack stack;
  stack.between = rod_end.between_now;
  if (rod_end.other_side_now) {
    stack.other_side = *rod_end.other_side_now;
  } else if (!may_leave_spacers_over(rod_end)) {
    for (const SpacerKind& kind : kinds_of(rod_end))
      add_spacers(kind.spacer, kind.other_side_now, stack.other_side);
  }
  if (rod_end.high_misalignment && rod_end.high_misalignment->on_car) add_high_misalignment(rod_end, stack);
  add_figures(rod_end, stack);
  return stack;
}

WantedPart wanted_part(const RodEnd& rod_end, double height_change_mm) {
  WantedPart part;
  part.between_mm = wanted_between_mm(rod_end, height_change_mm);
  double total_mm = intended_total_mm(rod_end);
  if (!may_leave_spacers_over(rod_end)) {
    total_mm = 0.0;
    for (const SpacerKind& kind : kinds_of(rod_end)) total_mm += kind.spacer.count * kind.spacer.thickness_mm;
  }
  part.other_side_mm = total_mm - part.between_mm;
  return part;
}

std::vector<Stack> nearest_stacks(const RodEnd& rod_end, double height_change_mm, std::size_t most,
                                  double apart_mm) {
  const std::vector<SpacerKind> kinds = kinds_of(rod_end);
  if (kinds.empty()) return {};
  const double wanted_mm = wanted_between_mm(rod_end, height_change_mm);
  double all_mm = 0.0;
  for (const SpacerKind& kind : kinds) all_mm += kind.ticks * grid_mm * kind.spacer.count;
  const bool free_total = may_leave_spacers_over(rod_end);
  const double stud_mm =
      free_total ? std::min(all_mm, intended_total_mm(rod_end) + total_tolerance_mm) : all_mm;
  const double between_mm = std::min(stud_mm, std::max(0.0, wanted_mm) + reach_mm);
  const auto ticks = [](double length_mm) { return static_cast<int>(std::lround(length_mm / grid_mm)); };
  const std::vector<Ways> layers = layers_of(kinds, {ticks(between_mm), ticks(stud_mm), !free_total});

  std::vector<Stack> stacks;
  for (const Candidate& candidate : candidates(layers.back(), rod_end, wanted_mm / grid_mm)) {
    if (stacks.size() == most) break;
    Stack stack = stack_of(kinds, layers, candidate.key);
    stack.height_change_mm =
        height_change_mm + up_per_spacer(rod_end) * (total_thickness_mm(stack.between) - wanted_mm);
    stack.short_of_best_mm = stack.height_change_mm - height_change_mm;
    const auto too_near = [&](const Stack& other) {
      return std::abs(other.height_change_mm - stack.height_change_mm) < apart_mm;
    };
    if (std::any_of(stacks.begin(), stacks.end(), too_near)) continue;
    if (rod_end.high_misalignment) add_high_misalignment(rod_end, stack);
    add_figures(rod_end, stack);
    stacks.push_back(stack);
  }
  return stacks;
}

std::string words_of(const std::vector<Spacer>& spacers) {
  std::string text;
  for (const Spacer& spacer : spacers) {
    if (!text.empty()) text += " + ";
    if (spacer.count != 1) text += std::to_string(spacer.count) + " x ";
    text += spacer.label.empty() ? length_words(spacer.thickness_mm, 2) : spacer.label;
  }
  return text;
}

}  // namespace pivotfix
