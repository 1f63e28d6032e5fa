// SPDX-License-Identifier: Apache-2.0
// What the searches for a best height share. Private to this folder.
#pragma once

#include <string_view>
#include <vector>

#include "advice/height.h"

namespace pivotfix {

inline constexpr double sample_mm = 1.0;         // travel between samples, of curves and of the integral
inline constexpr double farthest_mm = 100.0;     // no stud is longer
inline constexpr double longest_step_mm = 20.0;  // of one iteration
inline constexpr double last_step_mm = 1e-8;     // the iterations end quadratically
inline constexpr int most_iterations = 50;
inline constexpr double least_effect_rad_mm = 1e-5;  // toe per height, root mean square over the travel

// Throws Problem(refused) when the wheel cannot move at all.
Curve sampled_curve(const Corner& corner, const Travel& travel);

// Trapezoidal rule on the states of a curve times the driving's weights; they sum to one.
std::vector<double> weights_of(const std::vector<CornerState>& states, const Driving& driving);

// Toe change and its derivative with respect to the rod end's height over the travel.
struct ToeByHeight {
  std::vector<CornerState> states{};
  std::vector<double> change_rad{};
  std::vector<double> by_height{};
};
ToeByHeight toe_by_height(const Corner& corner, double height_mm, const Travel& travel);

BestHeight too_far_away();

// On a stud that lies level spacers move the rod end along or across the car, not up.
bool stud_lies_level(const Corner& corner);

// For figures whose uncertainty nobody asks for.
Corner without_covariance(Corner corner);

const Eigen::Vector3d& point_named(const Corner& corner, std::string_view name);
double link_length_mm(const Corner& corner);

}  // namespace pivotfix
