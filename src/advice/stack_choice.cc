// SPDX-License-Identifier: Apache-2.0
#include "advice/stack_choice.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "advice/spacer_kinds.h"
#include "advice/stack.h"
#include "advice/wording.h"

namespace pivotfix {
namespace {

// Whether giving the total up is worth it.
bool nearer(const std::vector<Stack>& others, const std::vector<Stack>& stacks) {
  constexpr double worth_another_total_mm = 0.05;
  if (others.empty() || stacks.empty()) return !others.empty();
  return std::abs(others.front().short_of_best_mm) <
         std::abs(stacks.front().short_of_best_mm) - worth_another_total_mm;
}

// The total that shall be kept leaves less thread than must show.
bool total_is_too_long(const RodEnd& rod_end) {
  return may_leave_spacers_over(rod_end) && intended_total_mm(rod_end) > largest_total_mm(rod_end) + grid_mm;
}

// With less on the stud: offered where the total is only what happens to be there now, else proposed.
void add_lower_totals(const RodEnd& rod_end, double best_mm, std::vector<Stack>& stacks, WantedPart& wanted) {
  std::vector<Stack> lower =
      nearest_stacks(rod_end, best_mm, stacks_listed, stacks_apart_mm, 0.0, any_total_mm);
  if (!rod_end.stack_total_mm) {
    if (nearer(lower, stacks)) stacks = std::move(lower);
  } else if (reaches(lower)) {
    wanted.with_lower_total = lower.front();
  }
}

// With spacers from the box on top, on a stud that has the thread for them.
void add_higher_totals(const RodEnd& rod_end, double best_mm, std::vector<Stack>& stacks) {
  std::vector<Stack> higher = nearest_stacks(rod_end, best_mm, stacks_listed, stacks_apart_mm, any_total_mm);
  if (nearer(higher, stacks)) stacks = std::move(higher);
}

void propose_more_thread(const RodEnd& rod_end, double best_mm, WantedPart& wanted) {
  RodEnd any_stud = rod_end;
  any_stud.stud = Stud{};
  const std::vector<Stack> stacks = nearest_stacks(any_stud, best_mm, 1, 0.0, any_total_mm);
  if (reaches(stacks) && stacks.front().over_total_mm > 0.0) wanted.with_more_thread = stacks.front();
}

}  // namespace

MustChange why_it_must_change(const RodEnd& rod_end) {
  if (rod_end.high_misalignment && !rod_end.high_misalignment->on_car) return MustChange::high_misalignment;
  const Stack now = stack_now(rod_end);
  const double necks_mm = rod_end.high_misalignment ? 2.0 * rod_end.high_misalignment->thickness_mm : 0.0;
  const double total_mm = now.total_mm - necks_mm;
  if (rod_end.stack_total_mm && std::abs(total_mm - *rod_end.stack_total_mm) > total_tolerance_mm + grid_mm)
    return MustChange::total;
  return total_mm > largest_total_mm(rod_end) + grid_mm ? MustChange::thread : MustChange::no;
}

bool reaches(const std::vector<Stack>& stacks) {
  return std::any_of(stacks.begin(), stacks.end(),
                     [](const Stack& stack) { return std::abs(stack.short_of_best_mm) <= near_enough_mm; });
}

std::vector<Stack> stacks_for(const RodEnd& rod_end, double best_mm, WantedPart& wanted) {
  std::vector<Stack> stacks = nearest_stacks(rod_end, best_mm, stacks_listed, stacks_apart_mm);
  if (!reaches(stacks) && total_is_too_long(rod_end)) add_lower_totals(rod_end, best_mm, stacks, wanted);
  if (!reaches(stacks) && std::isfinite(largest_total_mm(rod_end)))
    add_higher_totals(rod_end, best_mm, stacks);
  if (!reaches(stacks)) propose_more_thread(rod_end, best_mm, wanted);
  return stacks;
}

}  // namespace pivotfix
