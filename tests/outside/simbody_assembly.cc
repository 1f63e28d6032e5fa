// SPDX-License-Identifier: Apache-2.0
#include "outside/simbody_assembly.h"

#include <Simbody.h>

namespace pivotfix {
namespace {

// Frame at `point` with its z axis along `direction`.
SimTK::Transform frame_along(const SimTK::Vec3& point, const SimTK::Vec3& direction) {
  return {SimTK::Rotation(SimTK::UnitVec3(direction), SimTK::ZAxis), point};
}

SimTK::Vec3 vec(const std::array<double, 3>& v) {
  return {v[0], v[1], v[2]};
}

}  // namespace

// Every body's frame coincides with the car's at ride height, so stations are hardpoints.
std::array<double, 3> spin_axis_by_simbody(const NamedPoints& points,
                                           const std::array<double, 3>& spin_at_ride, double travel_mm) {
  const auto at = [&](const char* name) { return vec(points.at(name)); };
  SimTK::MultibodySystem system;
  SimTK::SimbodyMatterSubsystem matter(system);
  const SimTK::Body::Rigid body(SimTK::MassProperties(1.0, SimTK::Vec3(0), SimTK::Inertia(1)));
  SimTK::MobilizedBody& ground = matter.updGround();

  const SimTK::Transform lower_hinge =
      frame_along(at("lower_arm_rear_pivot"), at("lower_arm_front_pivot") - at("lower_arm_rear_pivot"));
  SimTK::MobilizedBody::Pin lower_arm(ground, lower_hinge, body, lower_hinge);
  const SimTK::Transform ball(at("lower_ball_joint"));
  SimTK::MobilizedBody::Ball knuckle(lower_arm, ball, body, ball);
  SimTK::Constraint::Rod link(ground, at("link_inner_joint"), knuckle, at("link_outer_joint"),
                              (at("link_inner_joint") - at("link_outer_joint")).norm());
  if (points.count("strut_top_mount") > 0) {
    const SimTK::Vec3 low = at("strut_axis_low");
    SimTK::Constraint::PointOnLine(knuckle, SimTK::UnitVec3(at("strut_top_mount") - low), low, ground,
                                   at("strut_top_mount"));
  } else {
    const SimTK::Transform upper_hinge =
        frame_along(at("upper_arm_rear_pivot"), at("upper_arm_front_pivot") - at("upper_arm_rear_pivot"));
    SimTK::MobilizedBody::Pin upper_arm(ground, upper_hinge, body, upper_hinge);
    SimTK::Constraint::Ball(upper_arm, at("upper_ball_joint"), knuckle, at("upper_ball_joint"));
  }
  const SimTK::Vec3 wheel = at("wheel_centre");
  SimTK::Constraint::PointInPlane(ground, SimTK::UnitVec3(SimTK::ZAxis), wheel[2] + travel_mm, knuckle,
                                  wheel);

  SimTK::State state = system.realizeTopology();
  matter.setUseEulerAngles(state, true);
  system.realizeModel(state);
  SimTK::Assembler assembler(system);
  assembler.setErrorTolerance(1e-11);
  assembler.setAccuracy(1e-12);
  assembler.initialize(state);
  assembler.assemble();
  assembler.updateFromInternalState(state);
  system.realize(state, SimTK::Stage::Position);

  const SimTK::Vec3 spin = knuckle.getBodyRotation(state) * vec(spin_at_ride);
  return {spin[0], spin[1], spin[2]};
}

}  // namespace pivotfix
