// SPDX-License-Identifier: Apache-2.0
// Rod-end heights worth knowing, as changes against now (up positive), on the exact model.
#pragma once

#include <optional>
#include <string>

#include "advice/advice.h"
#include "corner/corner.h"

namespace pivotfix {

// Minimises the integral of squared toe change over the travel.
struct BestHeight {
  double height_mm = 0.0;
  double sigma_mm = 0.0;            // zero without covariance
  Eigen::VectorXd by_coordinate{};  // mm/mm
  bool found = false;               // false: moving the rod end hardly changes toe, or the height is
  bool too_far = false;             // too far away for any stud
};
BestHeight best_height(const Corner& corner, const Travel& travel);

// Zero toe slope at ride height; none when the rod end's height does not change the slope.
std::optional<double> zero_slope_height_mm(const Corner& corner);

// Link parallel to the lower arm in front view; none when no height within reach makes it so.
std::optional<double> parallel_link_height_mm(const Corner& corner);

ToeCurve toe_curve(const std::string& title, const Corner& corner, double height_mm, const Travel& travel);

}  // namespace pivotfix
