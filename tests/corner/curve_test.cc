// SPDX-License-Identifier: Apache-2.0
// The toe curve against exact answers: derived closed forms and invariants. All corners are invented.
#include <gtest/gtest.h>

#include <string>

#include "base/problem.h"
#include "base/units.h"
#include "corner/corner.h"
#include "example_corners.h"

namespace pivotfix {
namespace {

struct Table {
  const char* name;
  Parallelogram corner;
  std::array<double, 11> toe_deg;  // -50 .. 50 mm in steps of 10; derived closed form
};

const Table tables[] = {
    {"parallelogram, rear steer", {350, 140, 350, 0, true}, {0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0}},
    {"outer end 10 high, rear steer",
     {350, 140, 350, 10, true},
     {0.589494, 0.470034, 0.351655, 0.234052, 0.116930, 0, -0.117026, -0.234436, -0.352524, -0.471592,
      -0.591956}},
    {"outer end 10 high, front steer",
     {350, 140, 350, 10, false},
     {-0.589494, -0.470034, -0.351655, -0.234052, -0.116930, 0, 0.117026, 0.234436, 0.352524, 0.471592,
      0.591956}},
    {"link 300 against arm 350, rear steer",
     {350, 140, 300, 0, true},
     {-0.248080, -0.157727, -0.088270, -0.039089, -0.009751, 0, -0.009751, -0.039089, -0.088270, -0.157727,
      -0.248080}},
    {"link 300 against arm 350, front steer",
     {350, 140, 300, 0, false},
     {0.248080, 0.157727, 0.088270, 0.039089, 0.009751, 0, 0.009751, 0.039089, 0.088270, 0.157727, 0.248080}},
    {"link 400, outer end 5 low, rear steer",
     {350, 140, 400, -5, true},
     {-0.072809, -0.087840, -0.087883, -0.073178, -0.043869, 0, 0.058477, 0.131706, 0.219926, 0.323479,
      0.442809}},
};

TEST(Curve, EqualsTheClosedFormOfParallelArms) {
  for (const Table& table : tables) {
    const Curve curve = solve_curve(make_corner(table.corner.set()), {50.0, 50.0}, 10.0);
    ASSERT_EQ(curve.states.size(), 11U) << table.name;
    EXPECT_EQ(curve.ended_early, "") << table.name;
    for (std::size_t i = 0; i < 11; ++i) {
      const CornerState& state = curve.states[i];
      EXPECT_DOUBLE_EQ(state.travel_mm, -50.0 + 10.0 * static_cast<double>(i));
      EXPECT_NEAR(deg_from_rad(state.toe_rad), table.toe_deg[i], 0.6e-6)
          << table.name << " " << state.travel_mm;
      EXPECT_NEAR(state.toe_rad, table.corner.toe_rad(state.travel_mm), 1e-14) << table.name;
      EXPECT_NEAR(state.camber_rad, 0.0, 1e-14) << table.name;
    }
  }
}

TEST(Curve, EqualsTheDerivedClosedFormOfConvergingArms) {
  struct Row {
    double inner_y_mm, inner_z_mm;
    std::array<double, 11> toe_deg;
  };
  // The first inner end makes slope and curvature vanish (after Euler and Savary), the second only the slope.
  const Row rows[] = {
      {370.688744,
       253.764474,
       {-0.00986, -0.00508, -0.00216, -0.00065, -0.00008, 0, 0.00008, 0.00069, 0.00236, 0.00571, 0.01139}},
      {362.785321,
       253.856214,
       {0.02714, 0.01830, 0.01085, 0.00508, 0.00134, 0, 0.00149, 0.00626, 0.01486, 0.02786, 0.04594}}};
  for (const Row& row : rows) {
    const Curve curve =
        solve_curve(make_corner(converging_set(row.inner_y_mm, row.inner_z_mm)), {50, 50}, 10.0);
    ASSERT_EQ(curve.states.size(), 11U);
    for (std::size_t i = 0; i < 11; ++i)
      EXPECT_NEAR(deg_from_rad(curve.states[i].toe_rad), row.toe_deg[i], 0.6e-5) << curve.states[i].travel_mm;
    EXPECT_NEAR(deg_from_rad(curve.states[5].toe_per_travel_rad_mm), 0.0, 2e-8);
  }
}

TEST(Curve, IsTheMirrorImageOnTheOtherSide) {
  for (const Layout layout : {Layout::strut, Layout::double_wishbone}) {
    const HardpointSet set = random_plausible_set(layout, 4);
    const Curve left = solve_curve(make_corner(set), {60, 60}, 5.0);
    const Curve right = solve_curve(make_corner(mirrored(set)), {60, 60}, 5.0);
    ASSERT_EQ(left.states.size(), right.states.size());
    for (std::size_t i = 0; i < left.states.size(); ++i) {
      EXPECT_EQ(left.states[i].toe_rad, right.states[i].toe_rad);
      EXPECT_EQ(left.states[i].camber_rad, right.states[i].camber_rad);
    }
  }
}

TEST(Curve, StaysWhenTheWholeCarIsShifted) {
  for (const Layout layout : {Layout::strut, Layout::double_wishbone}) {
    const HardpointSet set = random_plausible_set(layout, 6);
    HardpointSet shifted = set;
    for (Hardpoint& point : shifted.points)
      point.position_vehicle_mm += Eigen::Vector3d(1234.5, 60.25, -77.125);
    const Curve here = solve_curve(make_corner(set), {60, 60}, 5.0);
    const Curve there = solve_curve(make_corner(shifted), {60, 60}, 5.0);
    for (std::size_t i = 0; i < here.states.size(); ++i)
      EXPECT_NEAR(here.states[i].toe_rad, there.states[i].toe_rad, 1e-13);
  }
}

// Taking the corner at another travel for ride height is the same corner: same curve, shifted.
TEST(Curve, StaysWhenAnotherTravelIsCalledRideHeight) {
  for (const Layout layout : {Layout::strut, Layout::double_wishbone}) {
    HardpointSet set = random_plausible_set(layout, 8);
    const Corner corner = make_corner(set);
    const CornerState lower = solved_at(corner, 20.0);
    for (const char* name :
         {"lower_ball_joint", "upper_ball_joint", "strut_axis_low", "link_outer_joint", "wheel_centre"}) {
      const std::vector<std::string>& names = hardpoint_names(layout);
      if (std::find(names.begin(), names.end(), name) == names.end()) continue;
      Eigen::Vector3d& point = set.points[set.index_of(name)].position_vehicle_mm;
      point = lower.moved_from_ride * point;
    }
    set.wheel.toe_rad = lower.toe_rad;
    set.wheel.camber_rad = lower.camber_rad;
    const Curve rebased = solve_curve(make_corner(set), {30, 70}, 10.0);
    for (const CornerState& state : rebased.states) {
      const CornerState same = solved_at(corner, state.travel_mm + 20.0);
      EXPECT_NEAR(state.toe_rad, same.toe_rad, 1e-12);
      EXPECT_NEAR(state.camber_rad, same.camber_rad, 1e-12);
    }
  }
}

TEST(Curve, KeepsEveryLengthAndReachesTheTravelToARoundingError) {
  for (const Layout layout : {Layout::strut, Layout::double_wishbone}) {
    const Corner corner = make_corner(example_set(layout));
    const auto at = [&](const char* name) {
      for (const Hardpoint& point : corner.points)
        if (point.name == name) return point.position_vehicle_mm;
      throw std::runtime_error(name);
    };
    for (const CornerState& state : solve_curve(corner, {60, 60}, 1.0).states) {
      const auto length_error = [&](const char* body, const char* knuckle) {
        return std::abs((state.moved_from_ride * at(knuckle) - at(body)).norm() -
                        (at(knuckle) - at(body)).norm());
      };
      EXPECT_LT(length_error("lower_arm_front_pivot", "lower_ball_joint"), 1e-12);
      EXPECT_LT(length_error("lower_arm_rear_pivot", "lower_ball_joint"), 1e-12);
      EXPECT_LT(length_error("link_inner_joint", "link_outer_joint"), 1e-12);
      EXPECT_NEAR((state.moved_from_ride * at("wheel_centre")).z() - at("wheel_centre").z(), state.travel_mm,
                  1e-12);
      if (layout == Layout::double_wishbone) {
        EXPECT_LT(length_error("upper_arm_rear_pivot", "upper_ball_joint"), 1e-12);
        continue;
      }
      const Eigen::Vector3d top = at("strut_top_mount");
      const Eigen::Vector3d along =
          (state.moved_from_ride.rotation * (top - at("strut_axis_low"))).normalized();
      EXPECT_LT((top - state.moved_from_ride * at("strut_axis_low")).cross(along).norm(), 1e-12);
    }
  }
}

TEST(Curve, StepsAreEqualOnEachSideWithRideHeightAmongThem) {
  const Curve curve = solve_curve(make_corner(strut_set()), {25.0, 10.0}, 4.0);
  ASSERT_EQ(curve.states.size(), 3U + 1U + 7U);
  EXPECT_EQ(curve.states.front().travel_mm, -10.0);
  EXPECT_EQ(curve.states[3].travel_mm, 0.0);
  EXPECT_EQ(curve.states.back().travel_mm, 25.0);
  EXPECT_NEAR(curve.states[1].travel_mm - curve.states[0].travel_mm, 10.0 / 3.0, 1e-12);
}

TEST(Curve, DoesNotDependOnTheStep) {
  for (unsigned seed = 0; seed < 40; ++seed) {
    const Corner corner = make_corner(random_plausible_set(all_layouts()[seed % 5], seed));
    const Curve fine = solve_curve(corner, {60, 60}, 0.5);
    const Curve coarse = solve_curve(corner, {60, 60}, 60.0);
    ASSERT_EQ(coarse.states.size(), 3U);
    EXPECT_NEAR(fine.states.front().toe_rad, coarse.states.front().toe_rad, 1e-13);
    EXPECT_NEAR(fine.states.back().toe_rad, coarse.states.back().toe_rad, 1e-13);
  }
}

TEST(Curve, EndsWhereTheArmsStandUpright) {
  // Arms of 80 mm reach their top at 80 mm of bump.
  Parallelogram parallelogram;
  parallelogram.arm_mm = 80.0;
  parallelogram.link_across_mm = 300.0;
  const Curve curve = solve_curve(make_corner(parallelogram.set()), {120.0, 20.0}, 1.0);
  EXPECT_LE(curve.states.back().travel_mm, 80.0);
  EXPECT_GE(curve.states.back().travel_mm, 70.0);
  EXPECT_EQ(curve.states.front().travel_mm, -20.0);
  EXPECT_NE(curve.ended_early.find("of bump: there it locks"), std::string::npos) << curve.ended_early;
  for (const CornerState& state : curve.states) EXPECT_TRUE(std::isfinite(state.toe_rad));
}

TEST(Curve, EndsInBothDirectionsWithASentenceForEach) {
  const Curve curve = solve_curve(make_corner(strut_set()), {1000.0, 1000.0}, 5.0);
  EXPECT_NE(curve.ended_early.find("of droop"), std::string::npos) << curve.ended_early;
  EXPECT_NE(curve.ended_early.find("of bump"), std::string::npos) << curve.ended_early;
  for (std::size_t i = 1; i < curve.states.size(); ++i)
    EXPECT_LT(std::abs(curve.states[i].toe_rad - curve.states[i - 1].toe_rad), 0.3)
        << "no jump to another assembly";
}

TEST(Curve, RefusesATravelThatIsNone) {
  const Corner corner = make_corner(strut_set());
  EXPECT_THROW(solve_curve(corner, {-1.0, 40.0}, 1.0), Problem);
  EXPECT_THROW(solve_curve(corner, {40.0, std::nan("")}, 1.0), Problem);
  EXPECT_THROW(solve_curve(corner, {40.0, 40.0}, 0.0), Problem);
}

TEST(RodEndHeight, KeepsToeAtRideHeightAndMovesAlongTheStud) {
  const HardpointSet set = random_plausible_set(Layout::strut, 3);
  const Corner corner = make_corner(set);
  const Corner lowered = with_rod_end_height(corner, -9.0);
  EXPECT_NEAR(solved_at(lowered, 0.0).toe_rad, set.wheel.toe_rad, 1e-15);
  EXPECT_LT((corner.points[6].position_vehicle_mm - 9.0 * set.rod_end->stud_axis_vehicle -
             lowered.points[6].position_vehicle_mm)
                .norm(),
            1e-12);
}

TEST(RodEndHeight, OfAParallelogramIsTheClosedFormOfTheHigherOuterEnd) {
  const Parallelogram level;
  Parallelogram high;
  high.outer_high_mm = 7.5;
  const Corner raised = with_rod_end_height(make_corner(level.set()), 7.5);
  for (const double travel : {-40.0, 15.0, 40.0})
    EXPECT_NEAR(solved_at(raised, travel).toe_rad, high.toe_rad(travel), 1e-14);
}

}  // namespace
}  // namespace pivotfix
