// SPDX-License-Identifier: Apache-2.0
#include "advice/stack.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "advice/spacer_kinds.h"
#include "advice/stack_search.h"
#include "base/length_words.h"
#include "base/units.h"

namespace pivotfix {
namespace {

constexpr double reach_mm = 60.0;  // thicker than wanted by more than this is never near

// Neighbours that are alike become one entry: "2 x 0.200 in".
void add_spacers(const Spacer& spacer, int count, std::vector<Spacer>& to) {
  if (count < 1) return;
  const bool like_last =
      !to.empty() && to.back().thickness_mm == spacer.thickness_mm && to.back().label == spacer.label;
  if (like_last)
    to.back().count += count;
  else
    to.push_back({spacer.thickness_mm, count, spacer.label});
}

void add_spacers(const std::vector<Spacer>& spacers, std::vector<Spacer>& to) {
  for (const Spacer& spacer : spacers) add_spacers(spacer, spacer.count, to);
}

Stack stack_of(const std::vector<SpacerKind>& kinds, const Placement& placement) {
  Stack stack;
  for (std::size_t k = 0; k < kinds.size(); ++k) {
    const Spacer& spacer = kinds[k].spacer;
    add_spacers(spacer, placement.between[k], stack.between);
    add_spacers(spacer, placement.other_side[k], stack.other_side);
    add_spacers(spacer, spacer.count - placement.between[k] - placement.other_side[k], stack.left_over);
  }
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

int ticks(double length_mm) {
  return static_cast<int>(std::lround(length_mm / grid_mm));
}

// What is looked for among all sums; no sum is right when the largest on the stud is below the smallest.
SumsWanted sums_wanted(const std::vector<SpacerKind>& kinds, const RodEnd& rod_end, double between_mm,
                       double more_total_mm, double less_total_mm) {
  double all_mm = 0.0;
  for (const SpacerKind& kind : kinds) all_mm += kind.ticks * grid_mm * kind.spacer.count;
  SumsWanted wanted;
  wanted.all_on_stud = !may_leave_spacers_over(rod_end);
  wanted.between_ticks = between_mm / grid_mm;
  const double total_mm = wanted.all_on_stud ? all_mm : intended_total_mm(rod_end);
  const double tolerance_mm = wanted.all_on_stud ? 0.0 : total_tolerance_mm;
  const double most_mm =
      std::min({all_mm, total_mm + tolerance_mm + more_total_mm, largest_total_mm(rod_end) + grid_mm});
  wanted.stud_ticks = ticks(total_mm);
  wanted.smallest_stud_ticks = ticks(std::max(total_mm - tolerance_mm - less_total_mm, -1.0));
  wanted.largest_stud_ticks = ticks(std::max(most_mm, -1.0));
  wanted.largest_between_ticks =
      std::min(wanted.largest_stud_ticks, ticks(std::max(0.0, between_mm) + reach_mm));
  return wanted;
}

}  // namespace

double total_thickness_mm(const std::vector<Spacer>& spacers) {
  double total = 0.0;
  for (const Spacer& spacer : spacers) total += spacer.count * spacer.thickness_mm;
  return total;
}

double intended_total_mm(const RodEnd& rod_end) {
  if (rod_end.stack_total_mm) return *rod_end.stack_total_mm;
  return total_thickness_mm(rod_end.between_now) +
         total_thickness_mm(rod_end.other_side_now.value_or(std::vector<Spacer>{}));
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
  add_spacers(rod_end.between_now, stack.between);
  if (rod_end.other_side_now) {
    add_spacers(*rod_end.other_side_now, stack.other_side);
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
                                  double apart_mm, double more_total_mm, double less_total_mm) {
  const std::vector<SpacerKind> kinds = kinds_of(rod_end);
  if (kinds.empty()) return {};
  const double wanted_mm = wanted_between_mm(rod_end, height_change_mm);
  SumsWanted wanted = sums_wanted(kinds, rod_end, wanted_mm, more_total_mm, less_total_mm);
  wanted.most = most;
  wanted.apart_ticks = apart_mm / grid_mm;
  if (wanted.largest_stud_ticks < std::max(0, wanted.smallest_stud_ticks)) return {};
  std::vector<Stack> stacks;
  for (const Placement& placement : nearest_placements(kinds, wanted)) {
    Stack stack = stack_of(kinds, placement);
    stack.height_change_mm =
        height_change_mm + up_per_spacer(rod_end) * (total_thickness_mm(stack.between) - wanted_mm);
    stack.short_of_best_mm = stack.height_change_mm - height_change_mm;
    const double over_mm =
        total_thickness_mm(stack.between) + total_thickness_mm(stack.other_side) - intended_total_mm(rod_end);
    if (!wanted.all_on_stud && over_mm > total_tolerance_mm + grid_mm) stack.over_total_mm = over_mm;
    if (!wanted.all_on_stud && over_mm < -total_tolerance_mm - grid_mm) stack.under_total_mm = -over_mm;
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
