// SPDX-License-Identifier: Apache-2.0
// Toe and camber against Simbody, which assembles the same closed loop from its own joints and constraints:
// hinged arms and ball joints instead of distances. All corners are invented.
#include <gtest/gtest.h>

#include <cmath>

#include "base/units.h"
#include "corner/corner.h"
#include "corner/example_corners.h"
#include "outside/simbody_assembly.h"

namespace pivotfix {
namespace {

struct Angles {
  double toe_rad = 0.0;
  double camber_rad = 0.0;
};

Angles assembled(const HardpointSet& set, double travel_mm) {
  NamedPoints points;
  for (const Hardpoint& point : set.points)
    points[point.name] = {point.position_vehicle_mm.x(), point.position_vehicle_mm.y(),
                          point.position_vehicle_mm.z()};
  const double toe = set.wheel.toe_rad;
  const double camber = set.wheel.camber_rad;
  const std::array<double, 3> spin = spin_axis_by_simbody(
      points, {std::sin(toe) * std::cos(camber), std::cos(toe) * std::cos(camber), -std::sin(camber)},
      travel_mm);
  return {std::atan2(spin[0], spin[1]), -std::asin(spin[2])};
}

void expect_same_curve(const HardpointSet& set) {
  const Curve curve = solve_curve(make_corner(set), {60.0, 60.0}, 5.0);
  ASSERT_EQ(curve.states.size(), 25U);
  double largest_deg = 0.0;
  for (const CornerState& state : curve.states) {
    const Angles other = assembled(set, state.travel_mm);
    EXPECT_NEAR(deg_from_rad(state.toe_rad), deg_from_rad(other.toe_rad), 1e-6) << state.travel_mm;
    EXPECT_NEAR(deg_from_rad(state.camber_rad), deg_from_rad(other.camber_rad), 1e-6) << state.travel_mm;
    largest_deg = std::max(largest_deg, std::abs(deg_from_rad(other.toe_rad - set.wheel.toe_rad)));
  }
  EXPECT_GT(largest_deg, 0.1) << "a curve without toe change proves little";
}

TEST(SimbodyCorner, StrutHasTheSameToeAndCamber) {
  expect_same_curve(strut_set());
}

TEST(SimbodyCorner, DoubleWishboneHasTheSameToeAndCamber) {
  expect_same_curve(double_wishbone_set());
}

TEST(SimbodyCorner, RandomPlausibleCornersHaveTheSameToeAndCamber) {
  for (unsigned seed = 0; seed < 8; ++seed)
    expect_same_curve(random_plausible_set(seed < 4 ? Layout::strut : Layout::double_wishbone, seed));
}

TEST(SimbodyCorner, ParallelArmsAgreeWithTheClosedFormToo) {
  Parallelogram corner;
  corner.outer_high_mm = 10.0;
  for (const double travel : {-50.0, 50.0})
    EXPECT_NEAR(assembled(corner.set(), travel).toe_rad, corner.toe_rad(travel), 1e-9);
}

}  // namespace
}  // namespace pivotfix
