// SPDX-License-Identifier: Apache-2.0
// Front view (y to the left, z up), at ride height.
//
// The arm's angle is that of the line in which a transverse plane cuts the plane of the arm (ball joint and
// swing axis); every transverse plane gives the same one. Two separate lower links count as an arm from the
// line through their inner joints to the middle between their outer ones. The instant centre belongs to the
// link: while the wheel moves without toe change, it is the point of the vertical plane through the steering
// link where the knuckle has no velocity in that plane. So the toe curve has zero slope at ride height
// exactly when the link's line passes through it, with any caster, inclination or slanted axes (derived; the
// usual drawing of two arm lines is the case where all axes run straight ahead).
#pragma once

#include <Eigen/Core>

#include "corner/corner.h"

namespace pivotfix {

struct FrontView {
  double arm_angle_rad = 0.0;           // of the lower arm, rising outboard positive
  double link_angle_rad = 0.0;          // of the steering link, rising outboard positive
  double mismatch_rad = 0.0;            // link minus arm
  double effective_mismatch_rad = 0.0;  // link minus the line from the rod end to the instant centre
  bool arms_parallel = false;           // then the instant centre is at infinity and not given
  Eigen::Vector2d instant_centre_yz_mm = Eigen::Vector2d::Zero();
  double link_line_above_instant_centre_mm = 0.0;
};
FrontView front_view(const Corner& corner);

// The same with every figure's derivatives with respect to all coordinates, for its uncertainty.
struct FrontViewDerivatives {
  Eigen::VectorXd arm_angle{};  // 1/mm
  Eigen::VectorXd link_angle{};
  Eigen::VectorXd effective_mismatch{};
  Eigen::VectorXd link_line_above_instant_centre{};  // mm/mm; zero when the arms are parallel
};
FrontViewDerivatives front_view_derivatives(const Corner& corner);

}  // namespace pivotfix
