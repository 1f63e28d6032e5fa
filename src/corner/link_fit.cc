// SPDX-License-Identifier: Apache-2.0
// While the wheel moves without toe change, the rod end goes along a path with velocity v and acceleration a
// (per mm of travel). A link from inner joint I to rod end O leaves toe alone to first order when
// (O - I).v = 0, to second order when also v.v + (O - I).a = 0 (derived: half the second derivative of the
// link's squared length). The motion does not depend on O, so both conditions can be solved for its place:
// v at O + h n is v + h turn x n, and n.(turn x n) = 0, so the first is linear in h.
#include "corner/link_fit.h"

#include <cmath>

#include "corner/motion.h"

namespace pivotfix {
namespace {

constexpr double farthest_cure_mm = 100.0;  // no stud is longer
constexpr double least_effect = 0.02;       // of the rod end's height on the slope, per that of the inner end
constexpr double longest_ideal_link_mm = 10000.0;

struct FitOf {
  Gradient toe_slope{0.0};
  Gradient toe_curvature{0.0};
  Gradient outer_end_too_high{0.0};
  Gradient inner_end_too_high{0.0};
  Gradient curvature_left{0.0};
  Gradient link_length{0.0};
  Gradient ideal_link_length{0.0};
  bool spacer_cures_slope = false;
  bool has_ideal_length = false;
  Eigen::Vector3d ideal_inner_joint = Eigen::Vector3d::Zero();
};

Vector3<Gradient> link_of(const Standing<Gradient>& at) {
  return at.points[at.list.link_outer] - at.points[at.list.link_inner];
}

void add_cures(const Standing<Gradient>& at, const Motion<Gradient>& without_toe,
               const Eigen::Vector3d& stud_axis, FitOf& fit) {
  const Vector3<Gradient> link = link_of(at);
  const Vector3<Gradient> stud = stud_axis.cast<Gradient>();
  const Vector3<Gradient> velocity = without_toe.velocity_at(at.lever_of(at.list.link_outer));
  const Gradient stretch = link.dot(velocity);
  fit.inner_end_too_high = -stretch / velocity.z();
  const Gradient by_height = stud.dot(velocity) + link.dot(Vector3<Gradient>(without_toe.turn().cross(stud)));
  const Gradient too_high = stretch / by_height;
  fit.spacer_cures_slope = std::abs(by_height.value()) > least_effect * std::abs(velocity.z().value()) &&
                           std::abs(too_high.value()) < farthest_cure_mm;
  if (fit.spacer_cures_slope) fit.outer_end_too_high = too_high;
}

Standing<Gradient> cured(Standing<Gradient> at, const Eigen::Vector3d& stud_axis, const FitOf& fit) {
  if (fit.spacer_cures_slope)
    at.points[at.list.link_outer] -= stud_axis.cast<Gradient>() * fit.outer_end_too_high;
  else
    at.points[at.list.link_inner].z() -= fit.inner_end_too_high;
  return at;
}

void add_length(const Standing<Gradient>& at, FitOf& fit) {
  const Motions<Gradient> motions = motions_of(at, Drive{});
  fit.curvature_left = toe_acceleration(at.spin(), motions.travel);
  const Vector3<Gradient> link = link_of(at);
  const Vector3<Gradient> lever = at.lever_of(at.list.link_outer);
  const Vector3<Gradient> velocity = motions.without_toe.velocity_at(lever);
  const Vector3<Gradient> acceleration = motions.without_toe.acceleration_at(lever);
  fit.link_length = link.norm();
  const Gradient inwards = -link.dot(acceleration) / fit.link_length;
  const Gradient speed = velocity.dot(velocity);
  fit.has_ideal_length = inwards.value() * longest_ideal_link_mm > speed.value();
  if (!fit.has_ideal_length) return;
  fit.ideal_link_length = speed / inwards;
  const Vector3<Gradient> inner =
      at.points[at.list.link_outer] - link * Gradient(fit.ideal_link_length / fit.link_length);
  for (Eigen::Index c = 0; c < 3; ++c) fit.ideal_inner_joint[c] = inner[c].value();
}

FitOf fit_of(const Corner& corner) {
  const Standing<Gradient> at = with_gradients(standing_at_ride(corner), Drive{});
  const Motions<Gradient> motions = motions_of(at, Drive{});
  FitOf fit;
  fit.toe_slope = toe_velocity(at.spin(), motions.travel);
  fit.toe_curvature = toe_acceleration(at.spin(), motions.travel);
  add_cures(at, motions.without_toe, corner.stud_axis_vehicle, fit);
  add_length(cured(at, corner.stud_axis_vehicle, fit), fit);
  return fit;
}

}  // namespace

LinkFit link_fit(const Corner& corner) {
  const FitOf fit = fit_of(corner);
  LinkFit result;
  result.toe_slope_rad_mm = fit.toe_slope.value();
  result.toe_curvature_rad_mm2 = fit.toe_curvature.value();
  result.spacer_cures_slope = fit.spacer_cures_slope;
  result.outer_end_too_high_mm = fit.outer_end_too_high.value();
  result.inner_end_too_high_mm = fit.inner_end_too_high.value();
  result.curvature_left_rad_mm2 = fit.curvature_left.value();
  result.link_length_mm = fit.link_length.value();
  result.has_ideal_length = fit.has_ideal_length;
  result.ideal_link_length_mm = fit.ideal_link_length.value();
  result.ideal_inner_joint_vehicle_mm = fit.ideal_inner_joint;
  return result;
}

LinkFitDerivatives link_fit_derivatives(const Corner& corner) {
  const FitOf fit = fit_of(corner);
  const Eigen::Index n = static_cast<Eigen::Index>(3 * corner.points.size());
  const auto slopes = [n](const Gradient& number) { return Eigen::VectorXd(number.derivatives().head(n)); };
  return {slopes(fit.toe_slope),          slopes(fit.toe_curvature),  slopes(fit.outer_end_too_high),
          slopes(fit.inner_end_too_high), slopes(fit.curvature_left), slopes(fit.link_length),
          slopes(fit.ideal_link_length)};
}

}  // namespace pivotfix
