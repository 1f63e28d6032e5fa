// SPDX-License-Identifier: Apache-2.0
#include "advice/plausible.h"

#include <algorithm>
#include <cmath>
#include <variant>

#include "advice/height_search.h"
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
// Lower and upper arm, or pair of links; each of the links too.
constexpr Range arm_length_mm[]{{150.0, 700.0}, {80.0, 600.0}};
constexpr Range pivot_base_mm[]{{100.0, 700.0}, {80.0, 600.0}};
constexpr Range link_length_mm{150.0, 700.0};
constexpr Range link_by_arm{0.5, 1.7};  // length of the steering link in lengths of the lower arm
constexpr Range inboard_of_wheel_mm{-30.0, 220.0};
constexpr Range inclination_deg{-3.0, 25.0};
constexpr Range caster_deg{-6.0, 20.0};
constexpr Range strut_inboard_deg{-2.0, 28.0};  // of its own axis, which need not be the steering axis
constexpr Range strut_rearwards_deg{-8.0, 20.0};
constexpr Range steering_arm_mm{40.0, 250.0};
constexpr Range steepness_deg[]{{-25.0, 25.0}, {-30.0, 30.0}};  // of lower and upper arm, at ride height
constexpr Range axis_rise_deg{-20.0, 20.0};                     // of an arm's axis, in side view
constexpr Range axis_sweep_deg{-45.0, 45.0};                    // in plan
constexpr Range link_sweep_deg{-25.0, 25.0};
constexpr double most_between_links_mm = 80.0;  // of height, outer joints of a pair
constexpr Range toe_deg{-2.0, 2.0};
constexpr Range camber_deg{-8.0, 4.0};
constexpr Range rim_mm{200.0, 700.0};
constexpr Range spacer_mm{0.4, 40.0};
constexpr double most_lean_deg = 25.0;  // of the rod end's stud

Vector3d across_from_axis(const Vector3d& axis, const Vector3d& from_axis) {
  return from_axis - from_axis.dot(axis) / axis.squaredNorm() * axis;
}

class Plausibility {
 public:
  explicit Plausibility(const Corner& corner) : corner_(corner), list_(constraints_of(corner.layout)) {}

  std::vector<std::string> sentences() {
    const Vector3d& wheel = at(list_.wheel_centre);
    length(wheel.y(), half_track_mm, "The wheel centre is", "from the car's middle",
           "check half the track and the forward line");
    length(wheel.z(), wheel_height_mm, "The wheel centre is", "above the ground",
           "check floor_height and its sign, the floor tags and the hub's stand-off");
    arms();
    link();
    axis();
    if (has_strut(corner_.layout)) strut();
    settings();
    return sentences_;
  }

 private:
  const Vector3d& at(std::size_t index) const { return corner_.points[index].position_vehicle_mm; }

  static std::string with_end(const std::string& remedy) {
    return remedy.ends_with("?") ? remedy : remedy + ".";
  }
  static bool outside(double value, const Range& range) {
    return !(value >= range.least && value <= range.most);
  }
  void length(double value_mm, const Range& usual, const std::string& start, const std::string& end,
              const std::string& remedy) {
    if (outside(value_mm, usual))
      sentences_.push_back(start + " " + length_words(value_mm, 0) + (end.empty() ? "" : " ") + end +
                           "; usual are " + length_words(usual.least, 0) + " to " +
                           length_words(usual.most, 0) + ": " + with_end(remedy));
  }
  void angle(double value_rad, const Range& usual, const std::string& start, const std::string& remedy) {
    if (outside(deg_from_rad(value_rad), usual))
      sentences_.push_back(start + " " + format_fixed(deg_from_rad(value_rad), 1) + " degrees; usual are " +
                           format_fixed(usual.least, 0) + " to " + format_fixed(usual.most, 0) + ": " +
                           with_end(remedy));
  }
  void steepness(const Vector3d& outwards, const Range& usual, const std::string& part) {
    angle(std::atan2(outwards.z(), std::abs(outwards.y())), usual, "The " + part + " rises outwards by",
          "check its inner and outer end");
  }

  // The distances come in pairs, the lower one first: two legs of an arm, or two links.
  void arms() {
    std::size_t level = 0;
    for (std::size_t i = 1; i < list_.constraints.size(); i += 2) {
      const FixedDistance* front = std::get_if<FixedDistance>(&list_.constraints[i - 1]);
      const FixedDistance* rear = std::get_if<FixedDistance>(&list_.constraints[i]);
      if (front && rear) arm(*front, *rear, level++);
    }
    const LowerArm& lower = list_.lower_arm;
    const Vector3d outer = 0.5 * (at(lower.front_outer) + at(lower.rear_outer));
    if (outer.z() > at(list_.wheel_centre).z())
      sentences_.push_back("The lower arm's outer joint is above the wheel centre: is up taken for down?");
    length(at(list_.wheel_centre).y() - outer.y(), inboard_of_wheel_mm, "The lower arm's outer joint is",
           "inboard of the wheel centre", "check the y of both");
  }

  // Its length is the way from the axis through the inner joints to the middle between the outer ones.
  void arm(const FixedDistance& front, const FixedDistance& rear, std::size_t level) {
    const std::string name = level == 0 ? "lower arm" : "upper arm";
    const Vector3d axis = at(front.body_point) - at(rear.body_point);
    const Vector3d across = across_from_axis(
        axis, 0.5 * (at(front.knuckle_point) + at(rear.knuckle_point)) - at(rear.body_point));
    length(across.norm(), arm_length_mm[level], "The " + name + " is", "long",
           "check its pivots and its outer joint");
    steepness(across, steepness_deg[level], name);
    if (front.knuckle_point != rear.knuckle_point) {
      pair_of_links(front, rear, level);
      return;
    }
    length(axis.norm(), pivot_base_mm[level], "The pivots of the " + name + " are", "apart", "check both");
    angle(std::atan2(axis.z(), axis.x()), axis_rise_deg, "The axis of the " + name + " rises forwards by",
          "check the height of its pivots");
    angle(std::atan2(axis.y(), axis.x()), axis_sweep_deg,
          "The axis of the " + name + " runs outwards to the front by", "check the x and y of its pivots");
  }

  void pair_of_links(const FixedDistance& front, const FixedDistance& rear, std::size_t level) {
    for (const FixedDistance& one : {front, rear}) {
      const Vector3d link = at(one.knuckle_point) - at(one.body_point);
      length(link.norm(), arm_length_mm[level], "The " + std::string(one.part) + " is", "long",
             "check both of its joints");
      angle(std::atan2(link.z(), std::hypot(link.x(), link.y())), steepness_deg[1],
            "The " + std::string(one.part) + " rises outwards by", "check its inner and outer end");
    }
    const double apart_mm = std::abs(at(front.knuckle_point).z() - at(rear.knuckle_point).z());
    if (apart_mm > most_between_links_mm)
      sentences_.push_back("Of the outer joints of the " + std::string(front.part) + " and the " + rear.part +
                           " one is " + length_words(apart_mm, 0) +
                           " higher than the other; usual are up to " +
                           length_words(most_between_links_mm, 0) + ": check their heights.");
  }

  void link() {
    const Vector3d link = at(list_.link_outer) - at(list_.link_inner);
    length(link.norm(), link_length_mm, "The steering link is", "long", "check both of its joints");
    steepness(link, steepness_deg[0], "steering link");
    angle(std::atan2(link.x(), link.y()), link_sweep_deg,
          "The steering link runs forwards to its outer end by", "check the x of its joints");
    const LowerArm& lower = list_.lower_arm;
    const double arm_mm =
        across_from_axis(at(lower.front_inner) - at(lower.rear_inner),
                         0.5 * (at(lower.front_outer) + at(lower.rear_outer)) - at(lower.rear_inner))
            .norm();
    length(link.norm(), {link_by_arm.least * arm_mm, link_by_arm.most * arm_mm}, "The steering link is",
           "long, the lower arm " + length_words(arm_mm, 0), "check the ends of both");
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

  // A tag that is not on the strut turns its axis, and hardly anything else.
  void strut() {
    const Vector3d up = point_named(corner_, "strut_top_mount") - point_named(corner_, "strut_axis_low");
    const std::string remedy = "check strut_axis_low (is its tag on the strut?) and the top mount";
    angle(std::atan2(-up.y(), up.z()), strut_inboard_deg, "The strut leans inboard by", remedy);
    angle(std::atan2(-up.x(), up.z()), strut_rearwards_deg, "The strut leans rearwards by", remedy);
  }

  // What was typed of wheel and rod end.
  void settings() {
    angle(corner_.wheel.toe_rad, toe_deg, "Toe at ride height is given as",
          "is it in degrees, of one wheel?");
    angle(corner_.wheel.camber_rad, camber_deg, "Camber at ride height is given as",
          "is it in degrees, and its sign right?");
    length(corner_.wheel.rim_diameter_mm, rim_mm, "The rim's diameter is given as", "",
           "toe in millimetres hangs on it; is its unit right?");
    const double lean_rad = std::acos(std::min(1.0, std::abs(corner_.stud_axis_vehicle.z())));
    if (!stud_lies_level(corner_))
      angle(lean_rad, {0.0, most_lean_deg}, "The rod end's stud leans by", "check its direction");
  }

  const Corner& corner_;
  const ConstraintList& list_;
  std::vector<std::string> sentences_{};
};

}  // namespace

std::vector<std::string> implausible(const Corner& corner) {
  return Plausibility(corner).sentences();
}

std::vector<std::string> implausible(const RodEnd& rod_end) {
  std::vector<std::string> sentences;
  const auto check = [&](double thickness_mm) {
    if (thickness_mm >= spacer_mm.least && thickness_mm <= spacer_mm.most) return;
    const std::string sentence = "A spacer of " + length_words(thickness_mm, 2) + " is named; usual are " +
                                 length_words(spacer_mm.least, 1) + " to " + length_words(spacer_mm.most, 0) +
                                 ": is its unit right?";
    if (std::find(sentences.begin(), sentences.end(), sentence) == sentences.end())
      sentences.push_back(sentence);
  };
  for (const Spacer& spacer : rod_end.between_now) check(spacer.thickness_mm);
  for (const Spacer& spacer : rod_end.stock) check(spacer.thickness_mm);
  for (const Spacer& spacer : rod_end.other_side_now.value_or(std::vector<Spacer>{}))
    check(spacer.thickness_mm);
  if (rod_end.high_misalignment) check(rod_end.high_misalignment->thickness_mm);
  return sentences;
}

}  // namespace pivotfix
