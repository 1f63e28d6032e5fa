// SPDX-License-Identifier: Apache-2.0
#include "advice/spacer_kinds.h"

#include <algorithm>
#include <cmath>

#include "base/problem.h"
#include "base/units.h"

namespace pivotfix {
namespace {

constexpr double thickest_mm = 300.0;  // of a spacer

// Counts those on the car as one kind's; what the stock does not have, or not so often, exists all the same.
void place(const std::vector<Spacer>& on_car, int SpacerKind::*now, std::vector<SpacerKind>& kinds) {
  for (const Spacer& spacer : on_car) {
    int left = spacer.count;
    SpacerKind* same = nullptr;
    for (SpacerKind& kind : kinds) {
      if (std::abs(kind.spacer.thickness_mm - spacer.thickness_mm) > 0.5 * grid_mm) continue;
      const int taken = std::clamp(kind.spacer.count - kind.between_now - kind.other_side_now, 0, left);
      kind.*now += taken;
      left -= taken;
      same = &kind;
    }
    if (left > 0 && !same) same = &kinds.emplace_back(SpacerKind{{spacer.thickness_mm, 0, spacer.label}});
    if (left > 0) {
      same->spacer.count += left;
      same->*now += left;
    }
  }
}

}  // namespace

std::vector<SpacerKind> kinds_of(const RodEnd& rod_end) {
  std::vector<SpacerKind> kinds;
  for (const Spacer& spacer : rod_end.stock) kinds.push_back({spacer});
  place(rod_end.between_now, &SpacerKind::between_now, kinds);
  if (rod_end.other_side_now) place(*rod_end.other_side_now, &SpacerKind::other_side_now, kinds);
  std::erase_if(kinds, [](const SpacerKind& kind) { return kind.spacer.count <= 0; });
  for (SpacerKind& kind : kinds) {
    if (!(kind.spacer.thickness_mm >= grid_mm && kind.spacer.thickness_mm <= thickest_mm))
      throw Problem(ProblemKind::input,
                    "A spacer of " + format_length(kind.spacer.thickness_mm, LengthUnit::millimetre, 3) +
                        " cannot be used.",
                    "Give thicknesses between 0.001 mm and " + format_fixed(thickest_mm, 0) + " mm.");
    kind.ticks = static_cast<int>(std::lround(kind.spacer.thickness_mm / grid_mm));
    if (!may_leave_spacers_over(rod_end)) kind.other_side_now = kind.spacer.count - kind.between_now;
  }
  std::stable_sort(kinds.begin(), kinds.end(),
                   [](const SpacerKind& a, const SpacerKind& b) { return a.ticks > b.ticks; });
  double all_mm = 0.0;
  for (const SpacerKind& kind : kinds) all_mm += kind.spacer.count * kind.spacer.thickness_mm;
  if (all_mm > 3.0 * thickest_mm)
    throw Problem(ProblemKind::input,
                  "All spacers together are " + format_length(all_mm, LengthUnit::millimetre, 0) + " thick.",
                  "Correct their thicknesses and counts.");
  return kinds;
}

bool may_leave_spacers_over(const RodEnd& rod_end) {
  return rod_end.other_side_now.has_value() || rod_end.stack_total_mm.has_value();
}

Spacer high_misalignment_spacer(const RodEnd& rod_end) {
  const HighMisalignmentSpacers& spacers = *rod_end.high_misalignment;
  const std::string size =
      spacers.label.empty() ? format_length(spacers.thickness_mm, LengthUnit::millimetre, 2) : spacers.label;
  return {spacers.thickness_mm, 1, size + " high-misalignment"};
}

}  // namespace pivotfix
