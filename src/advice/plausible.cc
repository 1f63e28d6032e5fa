// SPDX-License-Identifier: Apache-2.0
#include "advice/plausible.h"

#include <cmath>

#include "base/length_words.h"
#include "base/units.h"
#include "corner/constraints.h"

namespace pivotfix {
namespace {

using Eigen::Vector3d;

struct Range {
  double least = 0.0, most = 0.0;
};
constexpr Range half_track_mm{400.0, 1100.0};
constexpr Range wheel_height_mm{150.0, 550.0};
constexpr Range arm_length_mm{150.0, 700.0};
constexpr Range link_length_mm{150.0, 700.0};
constexpr Range inclination_deg{-3.0, 25.0};
constexpr Range caster_deg{-6.0, 20.0};
constexpr Range steering_arm_mm{40.0, 250.0};
constexpr double steepest_deg = 25.0;  // of arm or link, at ride height

class Plausibility {
 public:
  explicit Plausibility(const Corner& corner) : corner_(corner), list_(constraints_of(corner.layout)) {}

  std::vector<std::string> sentences() {
    const Vector3d& wheel = at(list_.wheel_centre);
    length(wheel.y(), half_track_mm, "The wheel centre is", "from the car's middle",
           "check half the track and the forward line");
    length(wheel.z(), wheel_height_mm, "The wheel centre is", "above the ground",
           "check the floor tags and the hub's stand-off");
    arm();
    link();
    axis();
    return sentences_;
  }

 private:
  const Vector3d& at(std::size_t index) const { return corner_.points[index].position_vehicle_mm; }

  static bool outside(double value, const Range& range) {
    return !(value >= range.least && value <= range.most);
  }
  void length(double value_mm, const Range& usual, const std::string& start, const std::string& end,
              const std::string& remedy) {
    if (outside(value_mm, usual))
      sentences_.push_back(start + " " + length_words(value_mm, 0) + " " + end + "; usual are " +
                           length_words(usual.least, 0) + " to " + length_words(usual.most, 0) + ": " +
                           remedy + ".");
  }
  void angle(double value_rad, const Range& usual, const std::string& start, const std::string& remedy) {
    if (outside(deg_from_rad(value_rad), usual))
      sentences_.push_back(start + " " + format_fixed(deg_from_rad(value_rad), 1) + " degrees; usual are " +
                           format_fixed(usual.least, 0) + " to " + format_fixed(usual.most, 0) + ": " +
                           remedy + ".");
  }
  void steepness(const Vector3d& outwards, const std::string& part) {
    angle(std::atan2(outwards.z(), std::abs(outwards.y())), {-steepest_deg, steepest_deg},
          "The " + part + " rises outwards by", "check its inner and outer end");
  }

  void arm() {
    const LowerArm& arm = list_.lower_arm;
    const Vector3d outer = 0.5 * (at(arm.front_outer) + at(arm.rear_outer));
    const Vector3d axis = at(arm.front_inner) - at(arm.rear_inner);
    const Vector3d from_rear = outer - at(arm.rear_inner);
    const Vector3d across = from_rear - from_rear.dot(axis) / axis.squaredNorm() * axis;
    length(across.norm(), arm_length_mm, "The lower arm is", "long", "check its pivots and its outer joint");
    steepness(across, "lower arm");
    if (outer.z() > at(list_.wheel_centre).z())
      sentences_.push_back("The lower arm's outer joint is above the wheel centre: is up taken for down?");
  }

  void link() {
    const Vector3d link = at(list_.link_outer) - at(list_.link_inner);
    length(link.norm(), link_length_mm, "The steering link is", "long", "check both of its joints");
    steepness(link, "steering link");
  }

  void axis() {
    const SteeringAxis axis = steering_axis(corner_);
    angle(axis.inclination_rad, inclination_deg, "The steering axis leans inboard by",
          "check its upper and lower pivot");
    angle(axis.caster_rad, caster_deg, "The caster is",
          "check the upper and lower pivot and the forward line");
    const Vector3d low = at(list_.knuckle_low);
    const Vector3d along = (at(list_.knuckle_high) - low).normalized();
    const Vector3d out = at(list_.link_outer) - low;
    length((out - out.dot(along) * along).norm(), steering_arm_mm, "The outer link joint is",
           "from the steering axis", "check it and the axis' pivots");
    if (at(list_.knuckle_high).z() < at(list_.wheel_centre).z() - 100.0)
      sentences_.push_back(
          "The upper pivot of the steering axis is far below the wheel centre: check its height.");
  }

  const Corner& corner_;
  const ConstraintList& list_;
  std::vector<std::string> sentences_{};
};

}  // namespace

std::vector<std::string> implausible(const Corner& corner) {
  return Plausibility(corner).sentences();
}

}  // namespace pivotfix
