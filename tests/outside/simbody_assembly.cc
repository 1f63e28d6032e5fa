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

PartPose part_pose(const SimTK::MobilizedBody& part, const SimTK::State& state) {
  PartPose pose;
  const SimTK::Transform& now = part.getBodyTransform(state);
  for (int row = 0; row < 3; ++row) {
    for (int column = 0; column < 3; ++column) pose.rotation[3 * row + column] = now.R()[row][column];
    pose.translation[row] = now.p()[row];
  }
  return pose;
}

// Every body's frame coincides with the car's at ride height, so stations are hardpoints.
class Assembly {
 public:
  explicit Assembly(const NamedPoints& points) : points_(points), matter_(system_) {}

  std::map<std::string, PartPose> solve(double travel_mm, double rack_mm,
                                        const std::array<double, 3>& rack_axis) {
    add_lower_part();
    add_upper_part();
    const SimTK::Vec3 inner = at("link_inner_joint");
    const SimTK::Vec3 outer = at("link_outer_joint");
    SimTK::Constraint::Rod(ground(), inner + rack_mm * vec(rack_axis), knuckle_, outer,
                           (inner - outer).norm());
    const SimTK::Vec3 wheel = at("wheel_centre");
    SimTK::Constraint::PointInPlane(ground(), SimTK::UnitVec3(SimTK::ZAxis), wheel[2] + travel_mm, knuckle_,
                                    wheel);
    return assembled();
  }

 private:
  bool has(const std::string& name) const { return points_.count(name) > 0; }
  SimTK::Vec3 at(const std::string& name) const { return vec(points_.at(name)); }
  SimTK::MobilizedBody& ground() { return matter_.updGround(); }

  SimTK::MobilizedBody::Pin hinged_arm(const std::string& arm) {
    const SimTK::Transform hinge =
        frame_along(at(arm + "_rear_pivot"), at(arm + "_front_pivot") - at(arm + "_rear_pivot"));
    return {ground(), hinge, body_, hinge};
  }

  // An arm carries the knuckle; between links it floats.
  void add_lower_part() {
    if (has("lower_ball_joint")) {
      SimTK::MobilizedBody::Pin arm = hinged_arm("lower_arm");
      const SimTK::Transform ball(at("lower_ball_joint"));
      knuckle_ = SimTK::MobilizedBody::Ball(arm, ball, body_, ball);
      parts_["lower_arm"] = arm;
      return;
    }
    const SimTK::Transform wheel(at("wheel_centre"));
    knuckle_ = SimTK::MobilizedBody::Free(ground(), wheel, body_, wheel);
    add_links("lower");
  }

  void add_upper_part() {
    if (has("strut_top_mount")) {
      const SimTK::Vec3 low = at("strut_axis_low");
      SimTK::Constraint::PointOnLine(knuckle_, SimTK::UnitVec3(at("strut_top_mount") - low), low, ground(),
                                     at("strut_top_mount"));
    } else if (has("upper_ball_joint")) {
      SimTK::MobilizedBody::Pin arm = hinged_arm("upper_arm");
      SimTK::Constraint::Ball(arm, at("upper_ball_joint"), knuckle_, at("upper_ball_joint"));
      parts_["upper_arm"] = arm;
    } else {
      add_links("upper");
    }
  }

  void add_links(const std::string& level) {
    for (const char* which : {"_front_link", "_rear_link"}) {
      const SimTK::Vec3 inner = at(level + which + "_inner_joint");
      const SimTK::Vec3 outer = at(level + which + "_outer_joint");
      SimTK::Constraint::Rod(ground(), inner, knuckle_, outer, (inner - outer).norm());
    }
  }

  std::map<std::string, PartPose> assembled() {
    SimTK::State state = system_.realizeTopology();
    matter_.setUseEulerAngles(state, true);
    system_.realizeModel(state);
    SimTK::Assembler assembler(system_);
    assembler.setErrorTolerance(1e-11);
    assembler.setAccuracy(1e-12);
    assembler.initialize(state);
    assembler.assemble();
    assembler.updateFromInternalState(state);
    system_.realize(state, SimTK::Stage::Position);
    parts_["knuckle"] = knuckle_;
    std::map<std::string, PartPose> poses;
    for (const auto& [name, part] : parts_) poses[name] = part_pose(part, state);
    return poses;
  }

  const NamedPoints& points_;
  SimTK::MultibodySystem system_{};
  SimTK::SimbodyMatterSubsystem matter_;
  SimTK::Body::Rigid body_{SimTK::MassProperties(1.0, SimTK::Vec3(0), SimTK::Inertia(1))};
  SimTK::MobilizedBody knuckle_{};
  std::map<std::string, SimTK::MobilizedBody> parts_{};
};

}  // namespace

std::array<double, 3> PartPose::operator()(const std::array<double, 3>& point) const {
  std::array<double, 3> moved = translation;
  for (int row = 0; row < 3; ++row)
    for (int column = 0; column < 3; ++column) moved[row] += rotation[3 * row + column] * point[column];
  return moved;
}

std::map<std::string, PartPose> parts_by_simbody(const NamedPoints& points, double travel_mm,
                                                 double rack_mm) {
  return Assembly(points).solve(travel_mm, rack_mm, {0.0, 1.0, 0.0});
}

std::array<double, 3> spin_axis_by_simbody(const NamedPoints& points,
                                           const std::array<double, 3>& spin_at_ride, double travel_mm) {
  PartPose knuckle = parts_by_simbody(points, travel_mm).at("knuckle");
  knuckle.translation = {};
  return knuckle(spin_at_ride);
}

KnucklePose knuckle_by_simbody(const NamedPoints& points, double travel_mm, double rack_mm,
                               const std::array<double, 3>& rack_axis) {
  const PartPose knuckle = Assembly(points).solve(travel_mm, rack_mm, rack_axis).at("knuckle");
  KnucklePose pose;
  pose.shift_mm = knuckle.translation;
  for (std::size_t row = 0; row < 3; ++row)
    for (std::size_t column = 0; column < 3; ++column)
      pose.rotation[row][column] = knuckle.rotation[3 * row + column];
  return pose;
}

}  // namespace pivotfix
