// SPDX-License-Identifier: Apache-2.0
#include "advice/explore.h"

#include <algorithm>
#include <cmath>

#include "advice/height.h"
#include "advice/height_search.h"
#include "advice/stack.h"

namespace pivotfix {
namespace {

constexpr std::size_t most_choices = 60;
constexpr double apart_mm = 0.1;   // nearer to each other they are the same in practice
constexpr double margin_mm = 3.0;  // beyond now and the best height, without spacers
constexpr double step_mm = 0.5;    // likewise

// Adds a stack unless there is one at its height; the stack that is added stands for all near it.
void add(const Stack& stack, std::vector<Stack>& stacks) {
  std::erase_if(stacks, [&](const Stack& other) {
    return std::abs(other.height_change_mm - stack.height_change_mm) < 0.5 * apart_mm;
  });
  stacks.push_back(stack);
}

Stack at_height(double height_change_mm) {
  Stack stack;
  stack.height_change_mm = height_change_mm;
  return stack;
}

std::vector<Stack> stacks_from_stock(const AdviceQuestion& question, const Advice& advice) {
  // Where the total could not be kept it need not be kept here.
  const double less_mm = advice.stacks.front().under_total_mm > 0.0 ? any_total_mm : 0.0;
  std::vector<Stack> stacks = nearest_stacks(question.rod_end, advice.best_height_change_mm.value,
                                             most_choices, apart_mm, 0.0, less_mm);
  // Where both are the same height the one that the advice names counts: the last.
  if (advice.worth_changing) add(advice.stack_now, stacks);
  add(advice.stacks.front(), stacks);
  if (!advice.worth_changing) add(advice.stack_now, stacks);
  return stacks;
}

std::vector<Stack> equal_steps(const Advice& advice) {
  const double best_mm = advice.found ? advice.best_height_change_mm.value : 0.0;
  std::vector<Stack> stacks;
  const double low = std::min(0.0, best_mm) - margin_mm;
  const double high = std::max(0.0, best_mm) + margin_mm;
  double step = step_mm;
  while ((high - low) / step > static_cast<double>(most_choices)) step *= 2.0;
  for (double i = std::ceil(low / step); i * step <= high; i += 1.0) stacks.push_back(at_height(i * step));
  if (advice.worth_changing) add(at_height(0.0), stacks);
  add(at_height(best_mm), stacks);
  if (!advice.worth_changing) add(at_height(0.0), stacks);
  return stacks;
}

std::size_t index_at(const std::vector<Stack>& stacks, double height_change_mm) {
  const auto nearest = std::min_element(stacks.begin(), stacks.end(), [&](const Stack& a, const Stack& b) {
    return std::abs(a.height_change_mm - height_change_mm) < std::abs(b.height_change_mm - height_change_mm);
  });
  return static_cast<std::size_t>(nearest - stacks.begin());
}

}  // namespace

Exploration explore(const AdviceQuestion& question, const Advice& advice) {
  HardpointSet complete = with_readings_used(question).hardpoints;
  complete.rod_end = question.rod_end;
  const Corner corner = make_corner(complete);
  Exploration result;
  result.motion = solve_curve(corner, advice.travel, sample_mm);
  result.from_stock = !advice.stacks.empty();
  std::vector<Stack> stacks = result.from_stock ? stacks_from_stock(question, advice) : equal_steps(advice);
  std::stable_sort(stacks.begin(), stacks.end(),
                   [](const Stack& a, const Stack& b) { return a.height_change_mm < b.height_change_mm; });
  result.now = index_at(stacks, 0.0);
  result.suggested = advice.found && advice.worth_changing
                         ? index_at(stacks, result.from_stock ? advice.stacks.front().height_change_mm
                                                              : advice.best_height_change_mm.value)
                         : result.now;
  for (Stack& stack : stacks) {
    ToeCurve curve = toe_curve("", corner, stack.height_change_mm, advice.travel);
    stack.largest_change_rad = curve.largest_change_rad;
    stack.one_inch_change_rad = curve.one_inch_change_rad;
    result.choices.push_back({stack, std::move(curve)});
  }
  return result;
}

}  // namespace pivotfix
