// SPDX-License-Identifier: Apache-2.0
#include "advice/stack.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/problem.h"
#include "base/units.h"

namespace pivotfix {
namespace {

constexpr double grid_mm = 1e-3;       // stacks are told apart to a micrometre
constexpr double reach_mm = 60.0;      // thicker than wanted by more than this is never near
constexpr double thickest_mm = 300.0;  // of a stack
constexpr int unreachable = std::numeric_limits<int>::max();
// One spacer more weighs more than any number of spacers that are not on the car.
constexpr int cost_of_spacer = 10000;

struct Kind {
  Spacer spacer{};  // count: how many there are
  int on_car = 0;
  int ticks = 0;  // thickness in grid steps
};

std::vector<Kind> kinds_of(const RodEnd& rod_end) {
  std::vector<Kind> kinds;
  for (const Spacer& spacer : rod_end.stock) kinds.push_back({spacer});
  for (const Spacer& spacer : rod_end.between_now) {
    int left = spacer.count;
    Kind* same = nullptr;
    for (Kind& kind : kinds) {
      if (std::abs(kind.spacer.thickness_mm - spacer.thickness_mm) > 0.5 * grid_mm) continue;
      const int taken = std::clamp(kind.spacer.count - kind.on_car, 0, left);
      kind.on_car += taken;
      left -= taken;
      same = &kind;
    }
    // On the car but not, or not so often, in the stock: it exists all the same.
    if (left > 0 && !same) same = &kinds.emplace_back(Kind{{spacer.thickness_mm, 0, spacer.label}});
    if (left > 0) {
      same->spacer.count += left;
      same->on_car += left;
    }
  }
  std::erase_if(kinds, [](const Kind& kind) { return kind.spacer.count <= 0; });
  for (Kind& kind : kinds) {
    if (!(kind.spacer.thickness_mm >= grid_mm && kind.spacer.thickness_mm <= thickest_mm))
      throw Problem(ProblemKind::input,
                    "A spacer of " + format_length(kind.spacer.thickness_mm, LengthUnit::millimetre, 3) +
                        " cannot be used.",
                    "Give thicknesses between 0.001 mm and " + format_fixed(thickest_mm, 0) + " mm.");
    kind.ticks = static_cast<int>(std::lround(kind.spacer.thickness_mm / grid_mm));
  }
  std::stable_sort(kinds.begin(), kinds.end(),
                   [](const Kind& a, const Kind& b) { return a.ticks > b.ticks; });
  return kinds;
}

// Cheapest choice for every sum of thicknesses, kind after kind.
struct Sums {
  std::vector<int> cost{};
  std::vector<std::vector<int>> used{};  // of each kind in the cheapest choice of its and all earlier kinds
};

void add_kind(const Kind& kind, Sums& sums) {
  const int size = static_cast<int>(sums.cost.size());
  std::vector<int> cost(sums.cost.size(), unreachable);
  std::vector<int> used(sums.cost.size(), 0);
  for (int sum = 0; sum < size; ++sum) {
    const int most = std::min(kind.spacer.count, sum / kind.ticks);
    for (int count = 0; count <= most; ++count) {
      const int before = sums.cost[static_cast<std::size_t>(sum - count * kind.ticks)];
      if (before == unreachable) continue;
      const int with = before + count * cost_of_spacer + std::max(0, count - kind.on_car);
      if (with >= cost[static_cast<std::size_t>(sum)]) continue;
      cost[static_cast<std::size_t>(sum)] = with;
      used[static_cast<std::size_t>(sum)] = count;
    }
  }
  sums.cost = std::move(cost);
  sums.used.push_back(std::move(used));
}

Sums sums_of(const std::vector<Kind>& kinds, double wanted_mm) {
  double all_mm = 0.0;
  for (const Kind& kind : kinds) all_mm += kind.ticks * grid_mm * kind.spacer.count;
  const double window_mm = std::min({all_mm, std::max(0.0, wanted_mm) + reach_mm, thickest_mm});
  Sums sums;
  sums.cost.assign(static_cast<std::size_t>(std::lround(window_mm / grid_mm)) + 1, unreachable);
  sums.cost[0] = 0;
  for (const Kind& kind : kinds) add_kind(kind, sums);
  return sums;
}

Stack stack_of(const std::vector<Kind>& kinds, const Sums& sums, std::size_t sum) {
  std::vector<int> counts(kinds.size(), 0);
  for (std::size_t k = kinds.size(); k-- > 0;) {
    counts[k] = sums.used[k][sum];
    sum -= static_cast<std::size_t>(counts[k] * kinds[k].ticks);
  }
  Stack stack;
  for (std::size_t k = 0; k < kinds.size(); ++k) {
    Spacer spacer = kinds[k].spacer;
    spacer.count = counts[k];
    if (spacer.count > 0) stack.between.push_back(spacer);
    spacer.count = kinds[k].on_car - counts[k];
    if (spacer.count > 0) stack.other_side.push_back(spacer);
  }
  stack.between_mm = total_thickness_mm(stack.between);
  return stack;
}

}  // namespace

double total_thickness_mm(const std::vector<Spacer>& spacers) {
  double total = 0.0;
  for (const Spacer& spacer : spacers) total += spacer.count * spacer.thickness_mm;
  return total;
}

std::vector<Stack> nearest_stacks(const RodEnd& rod_end, double height_change_mm, std::size_t most) {
  const std::vector<Kind> kinds = kinds_of(rod_end);
  if (kinds.empty()) return {};
  const double up_per_spacer = rod_end.mount == RodEndMount::below_arm ? -1.0 : 1.0;
  const double now_mm = total_thickness_mm(rod_end.between_now);
  const double wanted_mm = now_mm + up_per_spacer * height_change_mm;
  const Sums sums = sums_of(kinds, wanted_mm);

  std::vector<std::size_t> reachable;
  for (std::size_t sum = 0; sum < sums.cost.size(); ++sum)
    if (sums.cost[sum] != unreachable) reachable.push_back(sum);
  const auto miss = [&](std::size_t sum) {
    return std::abs(std::round(static_cast<double>(sum) - wanted_mm / grid_mm));
  };
  std::stable_sort(reachable.begin(), reachable.end(), [&](std::size_t a, std::size_t b) {
    return miss(a) != miss(b) ? miss(a) < miss(b) : sums.cost[a] < sums.cost[b];
  });
  std::vector<Stack> stacks;
  for (std::size_t i = 0; i < std::min(most, reachable.size()); ++i) {
    Stack stack = stack_of(kinds, sums, reachable[i]);
    stack.height_change_mm = up_per_spacer * (stack.between_mm - now_mm);
    stack.short_of_best_mm = stack.height_change_mm - height_change_mm;
    stacks.push_back(stack);
  }
  return stacks;
}

std::string words_of(const std::vector<Spacer>& spacers) {
  std::string text;
  for (const Spacer& spacer : spacers) {
    if (!text.empty()) text += " + ";
    if (spacer.count != 1) text += std::to_string(spacer.count) + " x ";
    text +=
        spacer.label.empty() ? format_length(spacer.thickness_mm, LengthUnit::millimetre, 2) : spacer.label;
  }
  return text;
}

}  // namespace pivotfix
