// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "base/problem.h"
#include "corner/corner.h"

namespace pivotfix {
namespace {

constexpr int most_iterations = 60;
constexpr double longest_step_mm = 20.0;  // Newton's steps are long where the rod end nears its dead centre
constexpr double last_step_mm = 1e-9;

}  // namespace

std::optional<double> rack_at_toe(const Corner& corner, double toe_rad) {
  double rack_mm = 0.0;
  try {
    for (int i = 0; i < most_iterations; ++i) {
      const CornerState state = solve_state(corner, 0.0, rack_mm);
      const double step_mm = (toe_rad - state.toe_rad) / state.toe_per_rack_rad_mm;
      if (!std::isfinite(step_mm)) return std::nullopt;
      if (std::abs(step_mm) < last_step_mm) return rack_mm;
      rack_mm += std::clamp(step_mm, -longest_step_mm, longest_step_mm);
    }
  } catch (const Problem& problem) {
    if (problem.kind() != ProblemKind::refused) throw;
  }
  return std::nullopt;
}

}  // namespace pivotfix
