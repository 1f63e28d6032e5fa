// SPDX-License-Identifier: Apache-2.0
#include "hardpoints/rod_end.h"

#include "base/problem.h"

namespace pivotfix {
namespace {

[[noreturn]] void refuse(const std::string& what, const std::string& remedy) {
  throw Problem(ProblemKind::input, what, remedy);
}

}  // namespace

void check_rod_end(const RodEnd& rod_end) {
  const RodEndSizes& sizes = rod_end.sizes;
  const Stud& stud = rod_end.stud;
  if (stud.length_mm > 0.0 && !(stud.nut_height_mm > 0.0 && sizes.ball_width_mm > 0.0))
    refuse("The stud's length says nothing without the nut's height and the rod end's ball width.",
           "Give all three.");
  const bool tilt = sizes.ball_diameter_mm > 0.0 || sizes.housing_width_mm > 0.0;
  if (tilt && !(sizes.ball_diameter_mm > 0.0 && sizes.housing_width_mm > 0.0 && sizes.ball_width_mm > 0.0))
    refuse("The rod end's tilt needs ball width, ball diameter and housing width.",
           "Give all three, or the allowed tilt itself.");
  if (tilt && !(sizes.housing_width_mm < sizes.ball_width_mm && sizes.ball_width_mm < sizes.ball_diameter_mm))
    refuse(
        "The rod end's sizes contradict each other: the housing is narrower than the ball is wide, and the "
        "ball's width is less than its diameter.",
        "Measure them again.");
  if (sizes.bore_mm > 0.0 && tilt && !(sizes.bore_mm < sizes.ball_diameter_mm))
    refuse("The rod end's bore is as large as its ball.", "Measure them again.");
}

}  // namespace pivotfix
