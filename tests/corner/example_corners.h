// SPDX-License-Identifier: Apache-2.0
// Invented corners with known answers, and random plausible ones.
#pragma once

#include <array>
#include <cmath>
#include <random>

#include "base/units.h"
#include "corner/corner.h"

namespace pivotfix {

inline HardpointSet set_from(Layout layout, const std::vector<Eigen::Vector3d>& positions) {
  HardpointSet set;
  set.title = "invented corner";
  set.layout = layout;
  const std::vector<std::string>& names = hardpoint_names(layout);
  for (std::size_t i = 0; i < names.size(); ++i) set.points.push_back({names[i], positions.at(i)});
  return set;
}

// Equal parallel level arms of length 350 mm, kingpin upright, steering arm straight back or forward.
struct Parallelogram {
  double arm_mm = 350.0;
  double steering_arm_mm = 140.0;
  double link_across_mm = 350.0;
  double outer_high_mm = 0.0;
  bool rear_steer = true;

  HardpointSet set() const {
    const double y = 700.0;
    const double z = 200.0;
    const double x = rear_steer ? -steering_arm_mm : steering_arm_mm;
    return set_from(Layout::double_wishbone, {{100, y - arm_mm, z},
                                              {-100, y - arm_mm, z},
                                              {0, y, z},
                                              {100, y - arm_mm, z + 250},
                                              {-100, y - arm_mm, z + 250},
                                              {0, y, z + 250},
                                              {x, y - link_across_mm, z + 80},
                                              {x, y, z + 80 + outer_high_mm},
                                              {0, 740, 310}});
  }

  // Exact toe in radians (derived closed form: intersection of two circles in the plane of the steering arm).
  double toe_rad(double travel_mm) const {
    const double sign = rear_steer ? 1.0 : -1.0;
    const double a = steering_arm_mm;
    const double angle = std::asin(travel_mm / arm_mm);
    const double b = link_across_mm - arm_mm * (1.0 - std::cos(angle));
    const double c = outer_high_mm + travel_mm;
    const double m = link_across_mm * link_across_mm + outer_high_mm * outer_high_mm - b * b - c * c;
    return sign * (std::atan2(a, b) + std::asin((m - 2.0 * a * a) / (2.0 * a * std::hypot(a, b))));
  }
};

// Unequal converging arms, axes straight ahead, rear steer, link's inner end as given.
inline HardpointSet converging_set(double inner_y_mm, double inner_z_mm) {
  return set_from(Layout::double_wishbone, {{100, 340, 200},
                                            {-100, 340, 200},
                                            {0, 720, 180},
                                            {100, 450, 460},
                                            {-100, 450, 460},
                                            {0, 675, 490},
                                            {-140 + 0.0, inner_y_mm, inner_z_mm},
                                            {-140 + 0.0, 695, 250},
                                            {0, 750, 310}});
}

// Caster, inclination and slanted arm axes; made up.
inline HardpointSet strut_set() {
  HardpointSet set = set_from(Layout::strut, {{210, 345, 205},
                                              {-95, 360, 212},
                                              {8, 712, 188},
                                              {-42, 585, 835},
                                              {-6, 655, 420},
                                              {-128, 372, 262},
                                              {-135, 690, 268},
                                              {0, 745, 305}});
  set.wheel = {rad_from_deg(0.1), rad_from_deg(-1.2), 406.4, true, true};
  return set;
}

inline HardpointSet double_wishbone_set() {
  HardpointSet set = set_from(Layout::double_wishbone, {{140, 360, 195},
                                                        {-150, 350, 204},
                                                        {6, 708, 182},
                                                        {120, 452, 470},
                                                        {-110, 448, 462},
                                                        {-18, 672, 480},
                                                        {-122, 348, 240},
                                                        {-138, 682, 256},
                                                        {0, 748, 302}});
  set.wheel = {rad_from_deg(-0.15), rad_from_deg(-0.8), 431.8, true, true};
  return set;
}

// The lower arm's place taken by two links that meet in a virtual pivot outboard of the wheel's centre plane.
inline HardpointSet strut_two_links_set() {
  HardpointSet set = set_from(Layout::strut_two_links, {{230, 365, 218},
                                                        {38, 700, 186},
                                                        {-60, 352, 203},
                                                        {-30, 706, 190},
                                                        {-42, 585, 835},
                                                        {-6, 655, 420},
                                                        {-128, 372, 262},
                                                        {-135, 690, 268},
                                                        {0, 745, 305}});
  set.wheel = {rad_from_deg(0.1), rad_from_deg(-1.2), 406.4, true, true};
  return set;
}

inline HardpointSet five_link_set() {
  HardpointSet set = set_from(Layout::five_link, {{235, 350, 212},
                                                  {34, 702, 184},
                                                  {-85, 345, 200},
                                                  {-28, 710, 186},
                                                  {125, 452, 488},
                                                  {8, 660, 498},
                                                  {-120, 440, 476},
                                                  {-38, 668, 492},
                                                  {-122, 348, 240},
                                                  {-138, 682, 256},
                                                  {0, 748, 302}});
  set.wheel = {rad_from_deg(-0.15), rad_from_deg(-0.8), 431.8, true, true};
  return set;
}

inline HardpointSet example_set(Layout layout) {
  switch (layout) {
    case Layout::strut:
      return strut_set();
    case Layout::strut_two_links:
      return strut_two_links_set();
    case Layout::five_link:
      return five_link_set();
    case Layout::double_wishbone:
    case Layout::double_wishbone_upper_spring:
      break;
  }
  HardpointSet set = double_wishbone_set();
  set.layout = layout;
  return set;
}

// Every coordinate of an example moved by up to `spread_mm`, random stud axis, toe and camber.
inline HardpointSet random_plausible_set(Layout layout, unsigned seed, double spread_mm = 20.0) {
  std::mt19937 random(seed);
  std::uniform_real_distribution<double> even(-1.0, 1.0);
  HardpointSet set = example_set(layout);
  for (Hardpoint& point : set.points)
    for (double& coordinate : point.position_vehicle_mm) coordinate += spread_mm * even(random);
  if (seed % 2 == 1) {  // front steer
    set.points[set.index_of("link_inner_joint")].position_vehicle_mm.x() += 270.0;
    set.points[set.index_of("link_outer_joint")].position_vehicle_mm.x() += 270.0;
  }
  set.wheel.toe_rad = 0.01 * even(random);
  set.wheel.camber_rad = 0.05 * even(random);
  RodEnd rod_end;
  const double lean_y = 0.1 * even(random), lean_x = 0.1 * even(random);
  rod_end.stud_axis_vehicle = Eigen::Vector3d(lean_x, lean_y, 1.0).normalized();
  set.rod_end = rod_end;
  return set;
}

inline const CornerState& state_at(const Curve& curve, double travel_mm) {
  for (const CornerState& state : curve.states)
    if (std::abs(state.travel_mm - travel_mm) < 1e-9) return state;
  throw std::runtime_error("no state at " + std::to_string(travel_mm));
}

inline CornerState solved_at(const Corner& corner, double travel_mm) {
  return solve_state(corner, travel_mm);
}

}  // namespace pivotfix
