// SPDX-License-Identifier: Apache-2.0
// Rod-end heights worth knowing, as changes against now (up positive), on the exact model.
#pragma once

#include <optional>
#include <string>

#include "advice/advice.h"
#include "corner/corner.h"

namespace pivotfix {

struct BestHeight {
  double height_mm = 0.0;
  double sigma_mm = 0.0;            // by the points alone; zero without covariance
  Eigen::VectorXd by_coordinate{};  // mm/mm
  bool found = false;               // false: moving the rod end hardly changes toe, or the height is
  bool too_far = false;             // too far away for any stud
};

// The height that the driving's aim asks for; none on a stud that lies level.
BestHeight best_height(const Corner& corner, const Driving& driving);

// Minimises the weighted mean of squared toe change over the travel.
BestHeight least_squares_height(const Corner& corner, const Driving& driving);

// Minimises the largest toe change, each multiplied by the root of its weight.
BestHeight smallest_peak_height(const Corner& corner, const Driving& driving);

// Zero toe slope at ride height; not found when the rod end's height does not change the slope.
BestHeight zero_slope_height(const Corner& corner);

// What camber's own uncertainty adds to that of the best height, in quadrature (corner/camber.h).
double height_sigma_by_camber_mm(const Corner& corner, const Driving& driving, const BestHeight& best);

// Link parallel to the lower arm in front view; none when no height within reach makes it so.
std::optional<double> parallel_link_height_mm(const Corner& corner);

ToeCurve toe_curve(const std::string& title, const Corner& corner, double height_mm, const Travel& travel);

// What smallest_peak_height minimises, at any height.
double weighted_peak_rad(const Corner& corner, double height_mm, const Driving& driving);

// sqrt(slopes . covariance . slopes), zero when the covariance is not known.
double sigma_of(const Eigen::VectorXd& slopes, const Eigen::MatrixXd& covariance);

// Position of the link's outer joint in coordinates and points of the corner.
Eigen::Index outer_joint_coordinate(const Corner& corner);

}  // namespace pivotfix
