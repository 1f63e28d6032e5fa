// SPDX-License-Identifier: Apache-2.0
#include "corner/front_view.h"

#include <cmath>

#include "corner/figures_at.h"

namespace pivotfix {
namespace {

using Vector3g = Vector3<Gradient>;

struct Angles {
  Gradient arm_angle{0.0};
  Gradient link_angle{0.0};
  Gradient effective_mismatch{0.0};
  Gradient link_line_above_instant_centre{0.0};
  bool arms_parallel = false;
  Eigen::Vector2d instant_centre_yz_mm = Eigen::Vector2d::Zero();
};

// Line in which a transverse plane cuts the plane of the lower arm, pointing outboard.
Gradient arm_angle(const LowerArm& arm, const Points<Gradient>& points) {
  const Vector3g axis = points[arm.front_inner] - points[arm.rear_inner];
  const Vector3g outer = (points[arm.front_outer] + points[arm.rear_outer]) * Gradient(0.5);
  const Vector3g normal = axis.cross(Vector3g(outer - points[arm.rear_inner]));
  return normal.z().value() > 0.0 ? Gradient(atan2(Gradient(-normal.y()), normal.z()))
                                  : Gradient(atan2(normal.y(), Gradient(-normal.z())));
}

Angles angles_of(const Corner& corner) {
  const Standing<Gradient> at = with_gradients(standing_at_ride(corner), Drive{});
  const ConstraintList& list = at.list;
  const Points<Gradient>& points = at.points;
  Angles figures;
  figures.arm_angle = arm_angle(list.lower_arm, points);
  const Vector3g link = points[list.link_outer] - points[list.link_inner];
  figures.link_angle = atan2(link.z(), link.y());

  const Motion<Gradient> motion = motions_of(at, Drive{}).without_toe;
  const Vector3g turn = motion.turn();
  const Vector3g velocity = motion.velocity_at(at.lever_of(list.link_outer));

  // The vertical plane through the link: `level` runs outboard in it, `across` is its normal.
  const Gradient length = sqrt(link.x() * link.x() + link.y() * link.y());
  const Gradient level_x = link.x() / length;
  const Gradient level_y = link.y() / length;
  const Gradient sideways = velocity.x() * level_x + velocity.y() * level_y;
  const Gradient& upwards = velocity.z();
  const Gradient turn_in_plane = turn.x() * level_y - turn.y() * level_x;
  // The line from the rod end to the instant centre is perpendicular to the velocity: (upwards, -sideways).
  const Gradient ideal_angle = atan2(Gradient(-sideways), Gradient(upwards * level_y));
  figures.effective_mismatch = figures.link_angle - ideal_angle;

  figures.arms_parallel = std::abs(turn_in_plane.value()) < smallest_turn_rad_mm;
  if (figures.arms_parallel) {
    figures.link_line_above_instant_centre.derivatives().setZero();
    return figures;
  }
  const Gradient out = -upwards / turn_in_plane;  // from the rod end along `level`
  const Gradient up = sideways / turn_in_plane;
  figures.link_line_above_instant_centre = out * link.z() / length - up;
  figures.instant_centre_yz_mm = {points[list.link_outer].y().value() + (out * level_y).value(),
                                  points[list.link_outer].z().value() + up.value()};
  return figures;
}

}  // namespace

FrontView front_view(const Corner& corner) {
  const Angles figures = angles_of(corner);
  FrontView view;
  view.arm_angle_rad = figures.arm_angle.value();
  view.link_angle_rad = figures.link_angle.value();
  view.mismatch_rad = view.link_angle_rad - view.arm_angle_rad;
  view.effective_mismatch_rad = figures.effective_mismatch.value();
  view.arms_parallel = figures.arms_parallel;
  view.instant_centre_yz_mm = figures.instant_centre_yz_mm;
  view.link_line_above_instant_centre_mm = figures.link_line_above_instant_centre.value();
  return view;
}

FrontViewDerivatives front_view_derivatives(const Corner& corner) {
  const Angles figures = angles_of(corner);
  const Eigen::Index n = static_cast<Eigen::Index>(3 * corner.points.size());
  return {figures.arm_angle.derivatives().head(n), figures.link_angle.derivatives().head(n),
          figures.effective_mismatch.derivatives().head(n),
          figures.link_line_above_instant_centre.derivatives().head(n)};
}

}  // namespace pivotfix
