// SPDX-License-Identifier: Apache-2.0
// Figures over travel with their uncertainties, rack positions and both corners. Each figure by itself is
// tested in figures_test.cc, roll and steering in axle_test.cc. All corners are invented.
#include "corner/corner_figures.h"

#include <gtest/gtest.h>

#include <random>

#include "base/problem.h"
#include "example_corners.h"

namespace pivotfix {
namespace {

FigureQuestion question_of(const HardpointSet& set) {
  FigureQuestion question;
  question.hardpoints = set;
  question.travels_mm = {-40.0, -25.4, -10.0, 10.0, 25.4, 40.0};
  return question;
}

TEST(CornerFigures, HaveTheAskedTravelsAndRideHeight) {
  const CornerFigures figures = corner_figures(question_of(strut_set()));
  std::vector<double> travels;
  for (const FiguresAt& at : figures.straight_ahead.states) travels.push_back(at.travel_mm);
  EXPECT_EQ(travels, (std::vector<double>{-40.0, -25.4, -10.0, 0.0, 10.0, 25.4, 40.0}));
  ASSERT_NE(figures.straight_ahead.at_ride_height(), nullptr);
  EXPECT_NEAR(figures.straight_ahead.at_ride_height()->figures[Figure::toe], rad_from_deg(0.1), 1e-12);
  EXPECT_EQ(figures.straight_ahead.at_ride_height()->figures[Figure::contact_outward], 0.0);
  EXPECT_EQ(figures.straight_ahead.ended_early, "");
}

// A hundred thousand corners would be the exact answer; four hundred tell the spread to a tenth.
TEST(CornerFigures, StateTheSpreadOfCornersThatAreDrawnFromTheCovariance) {
  HardpointSet set = double_wishbone_set();
  const Eigen::Index n = static_cast<Eigen::Index>(3 * set.points.size());
  set.covariance_mm2 = 0.04 * Eigen::MatrixXd::Identity(n, n);
  FigureQuestion question = question_of(set);
  question.travels_mm = {30.0};
  const FiguresAt stated = corner_figures(question).straight_ahead.states.back();
  std::mt19937 random(7);
  std::normal_distribution<double> bell(0.0, 0.2);
  constexpr int draws = 400;
  std::array<double, figure_count> squares{};
  for (int i = 0; i < draws; ++i) {
    HardpointSet drawn = double_wishbone_set();
    for (Hardpoint& point : drawn.points)
      for (double& coordinate : point.position_vehicle_mm) coordinate += bell(random);
    const Corner corner = make_corner(drawn);
    const Figures figures = pivotfix::figures(corner, solve_state(corner, 30.0));
    for (std::size_t f = 0; f < figure_count; ++f)
      squares[f] += std::pow(figures.values[f] - stated.figures.values[f], 2);
  }
  for (std::size_t f = 0; f < figure_count; ++f) {
    const double spread = std::sqrt(squares[f] / draws);
    EXPECT_NEAR(stated.sigmas[f], spread, 0.15 * spread + 1e-12) << name_of(static_cast<Figure>(f));
  }
}

TEST(CornerFigures, CallTheRacksLeftTheSameOnBothSides) {
  FigureQuestion left = question_of(strut_set());
  left.racks_mm = {-20.0, 15.0};
  const CornerFigures of_left = corner_figures(left);
  FigureQuestion right = question_of(mirrored(strut_set()));
  right.racks_mm = {20.0, -15.0};
  const CornerFigures of_right = corner_figures(right);
  ASSERT_EQ(of_left.rack_held.size(), 2U);
  ASSERT_EQ(of_right.rack_held.size(), 2U);
  EXPECT_EQ(of_right.side, Side::right);
  for (std::size_t i = 0; i < 2; ++i) {
    EXPECT_EQ(of_left.rack_held[i].rack_mm, -of_right.rack_held[i].rack_mm);
    for (std::size_t j = 0; j < of_left.rack_held[i].states.size(); ++j)
      EXPECT_EQ(of_left.rack_held[i].states[j].figures.values,
                of_right.rack_held[i].states[j].figures.values);
  }
  // Behind the axle, a rack to the left pushes the left wheel's rod end outboard: it toes in.
  EXPECT_GT(of_left.rack_held[1].at_ride_height()->figures[Figure::toe], rad_from_deg(3.0));
}

TEST(CornerFigures, MirrorTheOtherCornerOnlyWhenThereIsNone) {
  const CornerFigures alone = corner_figures(question_of(strut_set()));
  EXPECT_TRUE(alone.mirrored);
  HardpointSet other = mirrored(strut_set());
  other.points[other.index_of("link_outer_joint")].position_vehicle_mm.z() -= 8.0;
  FigureQuestion both = question_of(strut_set());
  both.other_corner = other;
  const CornerFigures measured = corner_figures(both);
  EXPECT_FALSE(measured.mirrored);
  const RollState& mirror = alone.roll.states.back();
  const RollState& real = measured.roll.states.back();
  EXPECT_EQ(real.left_steer_rad, mirror.left_steer_rad);
  EXPECT_GT(std::abs(real.right_steer_rad - mirror.right_steer_rad), rad_from_deg(0.1));
  both.other_corner = strut_set();
  EXPECT_THROW(corner_figures(both), Problem);
}

TEST(CornerFigures, EndWhereTheCornerOrTheRackLocksAndSaySo) {
  FigureQuestion question = question_of(strut_set());
  question.travels_mm = {-40.0, 40.0, 900.0};
  question.racks_mm = {290.0};
  const CornerFigures figures = corner_figures(question);
  EXPECT_EQ(figures.straight_ahead.states.back().travel_mm, 40.0);
  EXPECT_NE(figures.straight_ahead.ended_early.find("mm of bump: there it locks"), std::string::npos);
  EXPECT_TRUE(figures.rack_held[0].states.empty());
  EXPECT_EQ(figures.rack_held[0].at_ride_height(), nullptr);
  EXPECT_NE(figures.rack_held[0].ended_early.find("rack travel outboard"), std::string::npos);
}

TEST(RackAtToe, TurnsTheWheelThereOrSaysThatItCannot) {
  for (const Layout layout : all_layouts()) {
    const Corner corner = make_corner(example_set(layout));
    for (const double toe_deg : {-35.0, -5.0, 0.1, 20.0}) {
      const std::optional<double> rack_mm = rack_at_toe(corner, rad_from_deg(toe_deg));
      ASSERT_TRUE(rack_mm.has_value()) << name_of(layout) << " " << toe_deg;
      EXPECT_NEAR(solve_state(corner, 0.0, *rack_mm).toe_rad, rad_from_deg(toe_deg), 1e-10);
    }
    // Behind the axle: before that the link, pulled inboard, lies in line with the steering arm.
    EXPECT_FALSE(rack_at_toe(corner, rad_from_deg(-120.0)).has_value());
  }
}

}  // namespace
}  // namespace pivotfix
