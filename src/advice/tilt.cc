// SPDX-License-Identifier: Apache-2.0
#include "advice/tilt.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "advice/height_search.h"
#include "base/units.h"

namespace pivotfix {
namespace {

constexpr double tilt_sample_mm = 5.0;  // the tilt is nearly straight over the travel
constexpr double steered_sample_mm = 10.0;
constexpr int steered_samples = 2;  // to either side
constexpr double usual_travel_mm = 2.0 * mm_per_inch;

struct Largest {
  double tilt_rad = 0.0;
  double travel_mm = 0.0;
  double steer_rad = 0.0;

  void include(double tilt, double travel, double steer) {
    if (std::abs(tilt) > tilt_rad) *this = {std::abs(tilt), travel, steer};
  }
};

// Over the travel that the corner has with the rack there.
void include_travel(const Corner& corner, const Travel& travel, double step_mm, double rack_mm,
                    double steer_rad, Largest& largest) {
  for (const CornerState& state : solve_curve(corner, travel, step_mm, rack_mm).states)
    largest.include(needed_tilt_rad(corner, state), state.travel_mm, steer_rad);
}

struct Lock {
  double rack_mm = 0.0;
  double steer_rad = 0.0;
};

// The rack at this change of toe; where link or arms end before, as far as they go.
Lock lock_at(const Corner& corner, double steer_rad) {
  constexpr double near_rad = 0.1 * rad_per_deg;
  const auto rack = [&](double steered_rad) {
    return rack_at_toe(corner, corner.wheel.toe_rad + steered_rad);
  };
  if (const std::optional<double> rack_mm = rack(steer_rad)) return {*rack_mm, steer_rad};
  Lock lock;
  double too_far_rad = steer_rad;
  while (std::abs(too_far_rad - lock.steer_rad) > near_rad) {
    const double middle_rad = 0.5 * (too_far_rad + lock.steer_rad);
    if (const std::optional<double> rack_mm = rack(middle_rad))
      lock = {*rack_mm, middle_rad};
    else
      too_far_rad = middle_rad;
  }
  return lock;
}

// Where link or arms end before the lock, only what they can do counts.
Largest largest_tilt(const Corner& corner, const Travel& travel, double lock_rad) {
  Largest largest;
  include_travel(corner, travel, tilt_sample_mm, 0.0, 0.0, largest);
  for (int i = -steered_samples; i <= steered_samples && lock_rad > 0.0; ++i) {
    if (i == 0) continue;
    const Lock lock = lock_at(corner, lock_rad * i / steered_samples);
    include_travel(corner, travel, steered_sample_mm, lock.rack_mm, lock.steer_rad, largest);
  }
  return largest;
}

}  // namespace

double ball_face_diameter_mm(const RodEndSizes& sizes) {
  return std::sqrt(std::max(
      0.0, sizes.ball_diameter_mm * sizes.ball_diameter_mm - sizes.ball_width_mm * sizes.ball_width_mm));
}

double allowed_tilt_rad(const RodEndSizes& sizes, double spacer_diameter_mm) {
  if (!(sizes.ball_diameter_mm > sizes.ball_width_mm && sizes.ball_width_mm > sizes.housing_width_mm &&
        sizes.housing_width_mm > 0.0))
    return 0.0;
  const double spacer = std::max(spacer_diameter_mm, sizes.bore_mm);
  const double housing = sizes.housing_width_mm;
  if (spacer <= ball_face_diameter_mm(sizes))
    return std::acos(spacer / sizes.ball_diameter_mm) - std::asin(housing / sizes.ball_diameter_mm);
  const double reach = std::hypot(sizes.ball_width_mm, spacer);
  return std::asin(sizes.ball_width_mm / reach) - std::asin(housing / reach);
}

double needed_tilt_rad(const Corner& corner, const CornerState& state) {
  const Eigen::Vector3d outer = state.moved_from_ride * point_named(corner, "link_outer_joint");
  const Eigen::Vector3d inner =
      point_named(corner, "link_inner_joint") + state.rack_mm * corner.rack_axis_vehicle;
  const Eigen::Vector3d stud = state.moved_from_ride.rotation * corner.stud_axis_vehicle;
  return std::asin(std::clamp((outer - inner).normalized().dot(stud), -1.0, 1.0));
}

Tilt tilt_over(const Corner& corner, const RodEnd& rod_end, double height_mm, const Travel& travel) {
  Tilt tilt;
  const Largest now = largest_tilt(corner, travel, rod_end.steering_lock_rad);
  const Corner changed = with_rod_end_height(corner, height_mm);
  const Largest then = largest_tilt(changed, travel, rod_end.steering_lock_rad);
  const Travel usual{std::max(travel.bump_mm, usual_travel_mm), std::max(travel.droop_mm, usual_travel_mm)};
  const Largest beyond = largest_tilt(changed, usual, rod_end.steering_lock_rad);
  tilt.largest_now_rad = now.tilt_rad;
  tilt.largest_now_travel_mm = now.travel_mm;
  tilt.largest_now_steer_rad = now.steer_rad;
  tilt.largest_then_rad = then.tilt_rad;
  tilt.largest_then_travel_mm = then.travel_mm;
  tilt.largest_then_steer_rad = then.steer_rad;
  tilt.largest_beyond_rad = beyond.tilt_rad;
  tilt.largest_beyond_travel_mm = beyond.travel_mm;
  tilt.largest_beyond_steer_rad = beyond.steer_rad;

  const RodEndSizes& sizes = rod_end.sizes;
  const double plain_mm =
      sizes.spacer_diameter_mm > 0.0 ? sizes.spacer_diameter_mm : ball_face_diameter_mm(sizes);
  tilt.allowed_plain_rad = allowed_tilt_rad(sizes, plain_mm);
  const bool necks = rod_end.high_misalignment.has_value();
  const bool necks_now = necks && rod_end.high_misalignment->on_car;
  if (necks && rod_end.high_misalignment->diameter_mm > 0.0)
    tilt.allowed_high_misalignment_rad = allowed_tilt_rad(sizes, rod_end.high_misalignment->diameter_mm);
  if (sizes.allowed_tilt_rad > 0.0)
    (necks_now ? tilt.allowed_high_misalignment_rad : tilt.allowed_plain_rad) = sizes.allowed_tilt_rad;
  tilt.allowed_now_rad = necks_now ? tilt.allowed_high_misalignment_rad : tilt.allowed_plain_rad;
  tilt.allowed_then_rad = necks ? tilt.allowed_high_misalignment_rad : tilt.allowed_plain_rad;
  const bool by_maker = sizes.allowed_tilt_rad > 0.0;
  tilt.stud_taken_as_upright = corner.stud_axis_vehicle.head<2>().norm() < 1e-9;
  tilt.spacers_taken_as_narrow = !necks && !by_maker && !(sizes.spacer_diameter_mm > 0.0);
  return tilt;
}

}  // namespace pivotfix
