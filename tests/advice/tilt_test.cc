// SPDX-License-Identifier: Apache-2.0
// Allowed tilt against the tables of rod ends in ISO 12240-4 series K (from memory) and against a contact
// search in the plane; needed tilt against a direct construction.
#include "advice/tilt.h"

#include <gtest/gtest.h>

#include <cmath>
#include <optional>

#include "advice/made_up_sets.h"
#include "advice/words_of_advice.h"
#include "base/units.h"
#include "corner/example_corners.h"

namespace pivotfix {
namespace {

struct RowOfTable {
  double bore, ball_width, housing_width, ball_diameter;
  int tilt_deg;  // printed in the table: whole degrees, rounded down
};
// ISO 12240-4, series K (DIN 648 K), from memory.
constexpr RowOfTable series_k[] = {
    {5, 8, 6, 11.112, 13},    {6, 9, 6.75, 12.7, 13},   {8, 12, 9, 15.875, 14},   {10, 14, 10.5, 19.05, 13},
    {12, 16, 12, 22.225, 13}, {14, 19, 13.5, 25.4, 16}, {16, 21, 15, 28.575, 15}, {18, 23, 16.5, 31.75, 15},
    {20, 25, 18, 34.925, 14}, {22, 28, 20, 38.1, 15},   {25, 31, 22, 42.862, 15}, {30, 37, 25, 50.8, 17}};

RodEndSizes sizes_of(const RowOfTable& row) {
  return {row.ball_width, row.ball_diameter, row.housing_width, row.bore, 0.0, 0.0};
}

TEST(AllowedTilt, IsThatOfTheTableForASpacerAsWideAsTheBallsFace) {
  for (const RowOfTable& row : series_k) {
    const double tilt = allowed_tilt_rad(sizes_of(row), ball_face_diameter_mm(sizes_of(row)));
    EXPECT_EQ(static_cast<int>(std::floor(deg_from_rad(tilt))), row.tilt_deg) << "bore " << row.bore;
  }
}

// A housing is a ring of rectangular section around the ball, inner radius E / 2; a spacer stands on the
// ball's flat face. Turned little by little until a corner of the housing is inside the spacer.
double tilt_by_search_rad(const RodEndSizes& sizes, double spacer_mm) {
  const double radius = 0.5 * sizes.ball_diameter_mm;
  const double half = 0.5 * sizes.housing_width_mm;
  // Corner of the ring on the ball's surface: inner edge of its face.
  const double along = std::sqrt(radius * radius - half * half);
  for (double tilt = 0.0; tilt < 1.5; tilt += 1e-5) {
    const double up = half * std::cos(tilt) + along * std::sin(tilt);
    const double out = along * std::cos(tilt) - half * std::sin(tilt);
    const bool above_face = up > 0.5 * sizes.ball_width_mm;
    if (above_face && out < 0.5 * spacer_mm) return tilt;
    // The rim of a spacer wider than the ball's face, seen from the ring: it meets the ring's flat face.
    const double rim_up = 0.5 * sizes.ball_width_mm * std::cos(tilt) - 0.5 * spacer_mm * std::sin(tilt);
    const double rim_out = 0.5 * sizes.ball_width_mm * std::sin(tilt) + 0.5 * spacer_mm * std::cos(tilt);
    if (rim_up < half && rim_out > along) return tilt;
  }
  return 1.5;
}

TEST(AllowedTilt, IsWhereTheHousingMeetsTheSpacer) {
  for (const RowOfTable& row : series_k)
    for (const double wider : {-3.0, -1.0, 0.5, 2.0, 4.0}) {
      const RodEndSizes sizes = sizes_of(row);
      const double spacer = ball_face_diameter_mm(sizes) + wider;
      if (spacer <= row.bore + 0.1) continue;
      EXPECT_NEAR(allowed_tilt_rad(sizes, spacer), tilt_by_search_rad(sizes, spacer), 1e-4)
          << "bore " << row.bore << " spacer " << spacer;
    }
}

// Bore 12 by hand, R = 11.1125 mm the ball's radius. The ring's edge stands 6 mm above the middle at a radius
// of sqrt(R^2 - 6^2) = 9.353 mm, at atan2(6, 9.353) = 32.68 deg; the ball's face is sqrt(R^2 - 8^2) = 7.713
// mm wide. A neck of 6 mm radius stops that edge at acos(6 / R): 24.64 deg on; a spacer as wide as the face
// at acos(7.713 / R): 13.37 deg. The rim of one that is 2 mm wider stands at atan2(8, 9.713) and meets the
// ring's face, 6 mm above the middle, at asin(6 / hypot(8, 9.713)): 11.00 deg before.
constexpr double with_neck_deg = 24.64, with_ball_face_deg = 13.37, with_washer_deg = 11.00;

TEST(AllowedTilt, GrowsWithANeckAndShrinksWithAWasher) {
  const RodEndSizes sizes = sizes_of(series_k[4]);
  const double face = ball_face_diameter_mm(sizes);
  EXPECT_NEAR(deg_from_rad(allowed_tilt_rad(sizes, 12.0)), with_neck_deg, 0.01);
  EXPECT_NEAR(deg_from_rad(allowed_tilt_rad(sizes, face + 4.0)), with_washer_deg, 0.01);
  EXPECT_EQ(allowed_tilt_rad(RodEndSizes{}, 12.0), 0.0) << "nothing known";
}

TEST(NeededTilt, IsTheLinksAngleOffThePlaneAcrossTheStud) {
  // Parallelogram with the link h high over its length: the knuckle does not turn about x, so the tilt is the
  // link's own rise.
  Parallelogram high;
  high.outer_high_mm = 20.0;
  const Corner corner = make_corner(high.set());
  EXPECT_NEAR(needed_tilt_rad(corner, solved_at(corner, 0.0)), std::atan2(20.0, 350.0), 1e-12);
  const CornerState bump = solved_at(corner, 30.0);
  const double length = std::hypot(350.0, 20.0);
  EXPECT_NEAR(needed_tilt_rad(corner, bump), std::asin(50.0 / length), 1e-9);
}

TEST(TiltOver, TakesTheLargestOfTheTravelAndTheRightLimit) {
  Parallelogram high;
  high.outer_high_mm = 20.0;
  RodEnd rod_end;
  rod_end.sizes = sizes_of(series_k[4]);
  const Corner corner = make_corner(high.set());
  const Tilt tilt = tilt_over(corner, rod_end, -20.0, {30.0, 40.0});
  EXPECT_EQ(tilt.largest_now_travel_mm, 30.0);
  EXPECT_NEAR(tilt.largest_now_rad, std::asin(50.0 / std::hypot(350.0, 20.0)), 1e-9);
  EXPECT_EQ(tilt.largest_then_travel_mm, -40.0);
  EXPECT_NEAR(tilt.largest_then_rad, std::asin(40.0 / 350.0), 1e-9);
  EXPECT_NEAR(deg_from_rad(tilt.allowed_then_rad), with_ball_face_deg, 0.01);
  EXPECT_EQ(tilt.allowed_high_misalignment_rad, 0.0);

  rod_end.high_misalignment = HighMisalignmentSpacers{6.35, 12.0, false, ""};
  const Tilt with_necks = tilt_over(corner, rod_end, -20.0, {30.0, 40.0});
  EXPECT_NEAR(deg_from_rad(with_necks.allowed_now_rad), with_ball_face_deg, 0.01);
  EXPECT_NEAR(deg_from_rad(with_necks.allowed_then_rad), with_neck_deg, 0.01);

  rod_end.high_misalignment.reset();
  rod_end.sizes.allowed_tilt_rad = 0.2;
  EXPECT_EQ(tilt_over(corner, rod_end, 0.0, {30.0, 40.0}).allowed_now_rad, 0.2) << "the maker's word counts";
}

TEST(NeededTilt, WhenSteeredIsTheLinksRiseAgainForAnUprightKingpin) {
  // Kingpin and stud upright and the travel zero: the stud stays upright, and the link of unchanged length
  // rises by the same 20 mm wherever the rack is.
  Parallelogram high;
  high.outer_high_mm = 20.0;
  const Corner corner = make_corner(high.set());
  for (const double steer_deg : {-35.0, -10.0, 25.0}) {
    const std::optional<double> rack_mm = rack_at_toe(corner, rad_from_deg(steer_deg));
    ASSERT_TRUE(rack_mm.has_value()) << steer_deg;
    const CornerState state = solve_state(corner, 0.0, *rack_mm);
    EXPECT_NEAR(state.toe_rad, rad_from_deg(steer_deg), 1e-10);
    EXPECT_NEAR(needed_tilt_rad(corner, state), std::asin(20.0 / std::hypot(350.0, 20.0)), 1e-9);
  }
  // With the stud leaning back by 5 degrees, steering turns its lean towards the link.
  Corner leaning = corner;
  leaning.stud_axis_vehicle = {-std::sin(rad_from_deg(5.0)), 0.0, std::cos(rad_from_deg(5.0))};
  RodEnd rod_end;
  const double straight = tilt_over(leaning, rod_end, 0.0, {10.0, 10.0}).largest_now_rad;
  rod_end.steering_lock_rad = rad_from_deg(35.0);
  const Tilt locked = tilt_over(leaning, rod_end, 0.0, {10.0, 10.0});
  EXPECT_GT(locked.largest_now_rad, straight + rad_from_deg(2.0));
  EXPECT_NEAR(std::abs(locked.largest_now_steer_rad), rad_from_deg(35.0), 1e-12);
}

// A rack that lies aslant lifts the inner joint: by direct construction from both joints' places.
TEST(NeededTilt, WhenSteeredFollowsTheRacksOwnAxis) {
  for (const Layout layout : all_layouts()) {
    HardpointSet set = example_set(layout);
    set.rack_axis_vehicle = Eigen::Vector3d(0.0, 1.0, 0.2).normalized();
    const Corner corner = make_corner(set);
    for (const double rack_mm : {-30.0, 0.0, 25.0}) {
      const CornerState state = solve_state(corner, 20.0, rack_mm);
      const Eigen::Vector3d inner =
          set.position_vehicle_mm("link_inner_joint") + rack_mm * set.rack_axis_vehicle;
      const Eigen::Vector3d link =
          state.moved_from_ride * set.position_vehicle_mm("link_outer_joint") - inner;
      const Eigen::Vector3d stud = state.moved_from_ride.rotation * Eigen::Vector3d::UnitZ();
      const double across = std::acos(stud.dot(link) / link.norm());
      EXPECT_NEAR(needed_tilt_rad(corner, state), rad_from_deg(90.0) - across, 1e-12) << name_of(layout);
    }
  }
}

RodEndSizes series_k_12() {  // ISO 12240-4, series K, bore 12, from memory
  return {16.0, 22.225, 12.0, 12.0, 0.0, 0.0};
}

TEST(TiltTakenForGranted, IsSaidWhenStudOrSpacersAreNotKnown) {
  RodEnd rod_end;
  rod_end.sizes = series_k_12();
  const Advice bare = advise({high_set(4.0), rod_end, {}, {}});
  EXPECT_TRUE(says(bare,
                   "The rod end's tilt is worked out with its stud upright and with spacers no wider at "
                   "the ball than the ball's face: "))
      << all(bare);
  EXPECT_TRUE(says(bare, "Each degree that the stud leans across the car may take one of them."))
      << all(bare);
  rod_end.sizes.spacer_diameter_mm = 15.0;
  EXPECT_FALSE(says(advise({high_set(4.0), rod_end, {}, {}}), "Wider spacers"));
  rod_end.stud_axis_vehicle = Eigen::Vector3d(0.0, std::sin(0.02), std::cos(0.02));
  EXPECT_FALSE(says(advise({high_set(4.0), rod_end, {}, {}}), "is worked out with"));
  EXPECT_FALSE(says(advise({high_set(4.0), RodEnd{}, {}, {}}), "is worked out with")) << "nothing is checked";
}

TEST(TiltTakenForGranted, IsWrongByADegreeForEachDegreeOfLeanAcrossTheCar) {
  HardpointSet set = high_set(0.0);
  const Tilt upright = advise({set, RodEnd{}, {}, {}}).tilt;
  for (const double lean_deg : {-5.0, 5.0}) {
    RodEnd rod_end;
    const double lean = rad_from_deg(lean_deg);
    rod_end.stud_axis_vehicle = Eigen::Vector3d(0.0, std::sin(lean), std::cos(lean));
    EXPECT_NEAR(deg_from_rad(advise({set, rod_end, {}, {}}).tilt.largest_now_rad - upright.largest_now_rad),
                5.0, 0.1);
  }
}

TEST(SteeringLock, BeyondWhatTheLinkReachesIsTakenAsFarAsItGoes) {
  const Corner corner = make_corner(high_set(0.0));
  double farthest_deg = 0.0;
  for (double deg = 0.0; deg < 90.0; deg += 0.25)
    if (rack_at_toe(corner, corner.wheel.toe_rad - rad_from_deg(deg)))
      farthest_deg = deg;
    else
      break;
  double other_deg = 0.0;
  for (double deg = 0.0; deg < 90.0; deg += 0.25)
    if (rack_at_toe(corner, corner.wheel.toe_rad + rad_from_deg(deg)))
      other_deg = deg;
    else
      break;
  ASSERT_LT(std::min(farthest_deg, other_deg), 85.0);
  RodEnd rod_end;
  rod_end.steering_lock_rad = rad_from_deg(89.0);
  // A lean along the car makes steering the largest tilt.
  rod_end.stud_axis_vehicle = Eigen::Vector3d(std::sin(0.2), 0.0, std::cos(0.2));
  const Tilt tilt = advise({high_set(0.0), rod_end, {"", {10.0, 10.0}, {}}, {}}).tilt;
  const double steered_deg = std::abs(deg_from_rad(tilt.largest_now_steer_rad));
  EXPECT_GT(steered_deg, std::min(farthest_deg, other_deg) - 0.5);
  EXPECT_LT(steered_deg, std::max(farthest_deg, other_deg) + 0.5);
}

}  // namespace
}  // namespace pivotfix
