// SPDX-License-Identifier: Apache-2.0
// The rod end at the outer end of the steering link: what holds it, what stands beside it, what limits it.
#pragma once

#include <Eigen/Core>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace pivotfix {

enum class RodEndMount { below_arm, above_arm };
std::string_view name_of(RodEndMount mount);                 // "below-arm", "above-arm"
RodEndMount rod_end_mount_from_name(std::string_view name);  // throws Problem(input)

struct Spacer {
  double thickness_mm = 0.0;
  int count = 1;
  std::string label{};  // as the user wrote it: "0.200 in"
};

// Spacers with a thin neck towards the ball let the rod end tilt further; one stands against each of its
// faces. They belong to the rod end and are never swapped.
struct HighMisalignmentSpacers {
  double thickness_mm = 0.0;  // of each of the two
  double diameter_mm = 0.0;   // where it touches the ball; zero when not known
  bool on_car = true;         // false: not there yet, they shall come
  std::string label{};
};

// Zero where not known.
struct Stud {
  double length_mm = 0.0;  // from the steering arm's face at the stack to the stud's end
  double nut_height_mm = 0.0;
  double thread_beyond_nut_mm = 3.0;  // that must show: two turns of M12 x 1.5 (common practice)
};

// What limits a rod end's tilt; zero where not known.
struct RodEndSizes {
  double ball_width_mm = 0.0;
  double ball_diameter_mm = 0.0;
  double housing_width_mm = 0.0;
  double bore_mm = 0.0;
  double spacer_diameter_mm = 0.0;  // of the ordinary spacer at the ball's face
  double allowed_tilt_rad = 0.0;    // as the maker says, to either side, spacers as they are now
};

struct RodEnd {
  Eigen::Vector3d stud_axis_vehicle{0.0, 0.0, 1.0};  // unit vector, upwards
  RodEndMount mount = RodEndMount::below_arm;
  std::vector<Spacer> between_now{};  // stands now between steering arm and rod end
  std::vector<Spacer> stock{};        // every spacer that may be used, those on the car included
  // Stands now beyond the rod end. Not said: all of the stock that is not between.
  std::optional<std::vector<Spacer>> other_side_now{};
  std::optional<double> stack_total_mm{};  // of all spacers on the stud, as the maker wants it
  std::optional<HighMisalignmentSpacers> high_misalignment{};
  Stud stud{};
  RodEndSizes sizes{};
  double steering_lock_rad = 0.0;  // of the wheel to either side; zero when not known
};

// Throws Problem(input) for sizes that contradict each other or lack their partner.
void check_rod_end(const RodEnd& rod_end);

}  // namespace pivotfix
