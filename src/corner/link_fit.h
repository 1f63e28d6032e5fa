// SPDX-License-Identifier: Apache-2.0
// How the steering link fits the suspension, at ride height, straight ahead. A link out of place gives the
// toe curve a slope, which a spacer cures; a link too short or too long gives it a curvature, the same way in
// bump and in droop, which no spacer cures: then the inner joint must move along the link, with a link of
// another length. Exact in space (derived: the link's length must stay to first and second order while the
// wheel moves without toe change); in the plane it is Euler and Savary's construction.
#pragma once

#include <Eigen/Core>

#include "corner/corner.h"

namespace pivotfix {

struct LinkFit {
  double toe_slope_rad_mm = 0.0;       // toe by travel
  double toe_curvature_rad_mm2 = 0.0;  // its second derivative
  // Zero slope: the outer end must come down this much along the stud, or the inner end vertically; negative
  // when it is too low. Exact, and one of both is enough.
  bool spacer_cures_slope = false;     // moving the outer end has an effect and is not too far
  double outer_end_too_high_mm = 0.0;  // zero when a spacer does not cure it
  double inner_end_too_high_mm = 0.0;
  // What remains once the slope is gone, by the outer end where that cures it, else by the inner end.
  double curvature_left_rad_mm2 = 0.0;
  double link_length_mm = 0.0;
  bool has_ideal_length = false;      // false when the rod end's path is straight or bends the other way
  double ideal_link_length_mm = 0.0;  // with no curvature either; less link_length_mm: too short by this
  Eigen::Vector3d ideal_inner_joint_vehicle_mm = Eigen::Vector3d::Zero();
};
LinkFit link_fit(const Corner& corner);

// Derivatives with respect to all coordinates, zero where the figure is not there.
struct LinkFitDerivatives {
  Eigen::VectorXd toe_slope{};  // rad/mm^2
  Eigen::VectorXd toe_curvature{};
  Eigen::VectorXd outer_end_too_high{};
  Eigen::VectorXd inner_end_too_high{};
  Eigen::VectorXd curvature_left{};
  Eigen::VectorXd link_length{};
  Eigen::VectorXd ideal_link_length{};
};
LinkFitDerivatives link_fit_derivatives(const Corner& corner);

}  // namespace pivotfix
