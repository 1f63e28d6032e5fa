// SPDX-License-Identifier: Apache-2.0
#include "locate/pivot_ways.h"

#include <algorithm>
#include <cmath>

#include "base/problem.h"
#include "base/units.h"

namespace pivotfix {

namespace {

using Eigen::Index;
using Eigen::Matrix3d;
using Eigen::MatrixXd;
using Eigen::Vector3d;

std::string list_of(const std::vector<int>& tags) {
  std::string text;
  for (std::size_t i = 0; i < tags.size(); ++i)
    text += (i == 0 ? "" : i + 1 < tags.size() ? ", " : " and ") + std::to_string(tags[i]);
  return text;
}

Traced tag_point(const TracedNetwork& network, int tag, const std::string& set, const Vector3d& offset_tag_mm,
                 const std::string& name) {
  return network.tag(tag, set, name) * Traced{offset_tag_mm, MatrixXd::Zero(3, network.inputs())};
}

struct Words {
  std::string operator()(const TagOffset& way) const {
    const Vector3d& o = way.offset_tag_mm;
    const std::string tag = "tag " + std::to_string(way.tag);
    if (o.x() == 0.0 && o.y() == 0.0)
      return tag + ", " + format_fixed(std::abs(o.z()), 2) + " mm " + (o.z() <= 0.0 ? "behind" : "before") +
             " its face";
    return tag + ", offset " + format_fixed(o.x(), 2) + " mm, " + format_fixed(o.y(), 2) + " mm, " +
           format_fixed(o.z(), 2) + " mm in its axes";
  }
  std::string operator()(const TagPair& way) const {
    return "tags " + std::to_string(way.first_tag) + " and " + std::to_string(way.second_tag) + ", at " +
           format_fixed(way.fraction, 3) + " of the way";
  }
  std::string operator()(const TagRing& way) const {
    return "ring of tags " + list_of(way.tags) + ", " + format_fixed(way.stand_off_mm, 2) + " mm behind";
  }
  std::string operator()(const TagTube& way) const {
    return "axis of the tube with tags " + list_of(way.tags);
  }
  std::string operator()(const Touches& way) const {
    return "pointer, " + std::to_string(way.sets.size()) + (way.sets.size() == 1 ? " touch" : " touches");
  }
  std::string operator()(const ByHand&) const { return "measured by hand"; }
  std::string operator()(const ByMotion&) const { return "motion of the parts"; }
};

// Parts with a ball joint at both ends: the steering link and, instead of an arm, two links.
const std::vector<std::string>& link_parts() {
  static const std::vector<std::string> parts{"link", "lower_front_link", "lower_rear_link",
                                              "upper_front_link", "upper_rear_link"};
  return parts;
}

}  // namespace

std::string in_words(const Way& way) {
  return std::visit(Words{}, way);
}

Vector3d own_sigma_mm(const Way& way) {
  return std::visit(
      [](const auto& one) -> Vector3d {
        if constexpr (std::is_same_v<std::decay_t<decltype(one)>, ByHand>)
          return one.sigma_vehicle_mm;
        else if constexpr (std::is_same_v<std::decay_t<decltype(one)>, TagOffset>) {
          const double across_mm = one.centring_sigma_mm.value_or(one.sigma_mm);
          return {across_mm, across_mm, one.sigma_mm};
        } else
          return Vector3d::Constant(one.sigma_mm);
      },
      way);
}

Matrix3d MotionPlace::open_at(double along_mm) const {
  Eigen::Matrix<double, 3, 6> at;
  at << Matrix3d::Identity(), along_mm * Matrix3d::Identity();
  return at * open * at.transpose();
}

OwnPlace PivotWays::on_ring(const TagRing& ring, const std::string& name) const {
  const std::string& set = question_.reference_height;
  std::vector<Traced> points;
  Vector3d outwards = Vector3d::Zero();
  for (const int tag : ring.tags) {
    points.push_back(network_.centre(tag, set, name));
    outwards += network_.tag(tag, set, name).value.rotation * Vector3d::UnitZ();
  }
  const Ring found = ring_through(points, outwards, covariance_, name);
  Eigen::Matrix<double, 3, 6> by_ring;
  by_ring << Matrix3d::Identity(), -ring.stand_off_mm * Matrix3d::Identity();
  return {found.centre - ring.stand_off_mm * found.direction, by_ring * found.scatter * by_ring.transpose()};
}

OwnPlace PivotWays::pivot(const HardpointRecipe& recipe, Index own_input) {
  const std::string& set = question_.reference_height;
  OwnPlace place;
  Traced& pivot = place.point;
  Matrix3d own_axes = Matrix3d::Identity();
  if (const auto* offset = std::get_if<TagOffset>(&recipe.way)) {
    pivot = tag_point(network_, offset->tag, set, offset->offset_tag_mm, recipe.name);
    own_axes = network_.tag(offset->tag, set, recipe.name).value.rotation.toRotationMatrix();
  } else if (const auto* pair = std::get_if<TagPair>(&recipe.way)) {
    pivot = (1.0 - pair->fraction) * network_.centre(pair->first_tag, set, recipe.name) +
            pair->fraction * network_.centre(pair->second_tag, set, recipe.name);
  } else if (const auto* ring = std::get_if<TagRing>(&recipe.way)) {
    place = on_ring(*ring, recipe.name);
  } else {
    const auto& touches = std::get<Touches>(recipe.way);
    const Body& pointer = require_body("pointer", recipe.name);
    if (!tip_) tip_ = find_tip(network_, pointer, question_.dent_sets);
    const Touched touched = touched_point(network_, pointer, *tip_, touches.sets, recipe.name);
    pivot = touched.point;
    place.scatter_mm2.diagonal().setConstant(touched.unexplained_sigma_mm * touched.unexplained_sigma_mm);
  }
  pivot.by_inputs.block<3, 3>(0, own_input) += own_axes;
  return place;
}

// The stand-off's error is the same for all tags of the tube: its one input is the first of the way's own.
std::vector<Traced> PivotWays::tube_points(const TagTube& tube, const std::string& name,
                                           Index own_input) const {
  std::vector<Traced> points;
  for (const int tag : tube.tags) {
    points.push_back(
        tag_point(network_, tag, question_.reference_height, {0.0, 0.0, -tube.stand_off_mm}, name));
    const Vector3d face =
        network_.tag(tag, question_.reference_height, name).value.rotation * Vector3d::UnitZ();
    points.back().by_inputs.col(own_input) -= face;
  }
  return points;
}

TubeLine PivotWays::tube_axis(const HardpointRecipe& recipe, Index own_input) const {
  TubeLine axis = line_through(tube_points(std::get<TagTube>(recipe.way), recipe.name, own_input),
                               covariance_, recipe.name);
  axis.low.by_inputs.block<3, 3>(0, tube_input_) += Matrix3d::Identity();
  axis.direction.by_inputs.block<3, 3>(0, tube_input_ + 3) += Matrix3d::Identity();
  return axis;
}

const Body* PivotWays::body(const std::string& name) const {
  for (const Body& one : question_.bodies)
    if (one.name == name) return &one;
  return nullptr;
}

const Body& PivotWays::require_body(const std::string& name, const std::string& needed_for) const {
  const Body* found = body(name);
  if (found) return *found;
  throw Problem(ProblemKind::refused, needed_for + " needs tags on the " + name + ", and the job names none.",
                name == "pointer"
                    ? "Add a section [pointer] with its tags and the photos of its tip in a dent."
                    : "Add " + name + " = [...] with their numbers under [moving].");
}

// The set of the reference height that shows the body best.
std::string PivotWays::reference_of(const Body& body) const {
  std::string set = network_.best_set_of(body, question_.reference_height);
  if (!set.empty()) return set;
  throw Problem(ProblemKind::refused,
                "No tag of the " + body.name + " is seen in \"" + question_.reference_height + "\".",
                "Take two photos or more of it at that height.");
}

MotionPlace PivotWays::ball_joint(const std::string& name, const std::string& part, const std::string& other,
                                  const std::optional<Vector3d>& near_mm, bool on_rack) {
  const Body& moving = require_body(part, name);
  const Body seen_from = other == "car" ? Body{} : require_body(other, name);
  const std::string reference = reference_of(moving);
  const auto motions = network_.motions(moving, seen_from, reference,
                                        on_rack ? question_.steered_heights : std::vector<std::string>{});
  const Traced near = network_.middle_of(moving, reference);
  const SharedPoint shared = shared_point(motions, near_mm.value_or(near.value), covariance_, name);
  MotionPlace place{shared.point, {}, shared.check, near};
  place.open.topLeftCorner<3, 3>() = shared.open_mm2;
  const bool is_link = part.ends_with("link");
  place.remedy =
      std::string(is_link ? "Twist the link about its own length, another way before each set" : "") +
      (is_link && !on_rack ? ", or take"
       : is_link           ? ""
                           : "Take") +
      (on_rack ? ""
       : question_.steered_heights.empty()
           ? " one more set with the steering turned towards a lock (steered = true)"
           : " one more set with the steering turned further, to either side") +
      "; or give it a tag as well.";
  return place;
}

MotionPlace PivotWays::hinge(const std::string& name, const std::string& arm) {
  const Body& moving = require_body(arm, name);
  const std::string reference = reference_of(moving);
  const Traced near = network_.middle_of(moving, reference);
  if (!hinges_.count(arm))
    hinges_[arm] = turning_axis(network_.motions(moving, {}, reference), near.value, covariance_, name);
  const TurningAxis& axis = hinges_[arm];
  return {axis.point, axis.direction, axis.check, near};
}

MotionPlace PivotWays::strut(const std::string& name, const std::optional<Vector3d>& near_mm) {
  const Body& knuckle = require_body("knuckle", name);
  const std::string reference = reference_of(knuckle);
  const Traced near = network_.middle_of(knuckle, reference);
  if (!strut_) {
    const auto motions = network_.motions(knuckle, {}, reference);
    const Vector3d start_mm = near_mm.value_or(near.value);
    Vector3d along = Vector3d::Zero();
    for (const RelativeMotion& motion : motions)
      if (const Vector3d slid = motion.moved.value.inverse() * start_mm - start_mm;
          slid.norm() > along.norm())
        along = slid;
    if (along.norm() < 1e-6) along = Vector3d::UnitZ();  // refused below for want of heights
    strut_ = sliding_axis(motions, start_mm, along, covariance_, name);
  }
  // Steering and tags along the tube tell the axis; how high on it the mount sits neither does.
  const bool axis_is_told =
      !question_.steered_heights.empty() ||
      std::any_of(question_.hardpoints.begin(), question_.hardpoints.end(),
                  [](const HardpointRecipe& recipe) {
                    return recipe.name == "strut_axis_low" && std::holds_alternative<TagTube>(recipe.way);
                  });
  const std::string remedy =
      axis_is_told
          ? "Give it a tag as well, on the strut's top nut: how high it sits hardly shows in the motion."
          : "Take one more set with the steering turned towards a lock (steered = true); or give it a "
            "tag, and strut_axis_low tags along the tube.";
  if (name == "strut_top_mount") return {strut_->mount, {}, strut_->check, near, strut_->open, remedy};
  return {strut_->mount, strut_->direction, strut_->check, near, strut_->open, remedy};
}

MotionPlace PivotWays::from_motion(const std::string& name, const std::optional<Vector3d>& near_mm) {
  if (name == "lower_ball_joint") return ball_joint(name, "lower_arm", "knuckle", near_mm, false);
  if (name == "upper_ball_joint") return ball_joint(name, "upper_arm", "knuckle", near_mm, false);
  for (const std::string& link : link_parts()) {
    if (name == link + "_outer_joint") return ball_joint(name, link, "knuckle", near_mm, false);
    if (name == link + "_inner_joint") return ball_joint(name, link, "car", near_mm, link == "link");
  }
  if (name == "lower_arm_front_pivot" || name == "lower_arm_rear_pivot") return hinge(name, "lower_arm");
  if (name == "upper_arm_front_pivot" || name == "upper_arm_rear_pivot") return hinge(name, "upper_arm");
  if (name == "strut_top_mount" || name == "strut_axis_low") return strut(name, near_mm);
  if (name == "wheel_centre") {
    const Body& hub = require_body("hub", name);
    if (const auto axis = spin_axis())
      return {axis->point, axis->direction, axis->check, network_.middle_of(hub, reference_of(hub))};
    throw Problem(ProblemKind::refused,
                  "The hub was not turned, so its motion does not tell the wheel's axis.",
                  "Add [[photos]] tables with `hub_turn` at one height, the hub turned by a third of a turn "
                  "between them.");
  }
  throw Problem(ProblemKind::refused, "Motion says nothing of " + name + ".",
                "Take `motion` out of its table and mark it with a tag.");
}

std::optional<TurningAxis> PivotWays::spin_axis() {
  constexpr double least_turn_rad = 20.0 * rad_per_deg;
  const Body* hub = body("hub");
  const Body* knuckle = body("knuckle");
  if (!hub || !knuckle) return std::nullopt;
  const std::string reference = network_.best_set_of(*hub, question_.reference_height);
  if (reference.empty()) return std::nullopt;
  if (!hinges_.count("hub")) {
    const auto motions = network_.motions(*hub, *knuckle, reference);
    double widest = 0.0;
    for (const RelativeMotion& motion : motions)
      widest = std::max(widest, Eigen::AngleAxisd(motion.moved.value.rotation).angle());
    if (widest < least_turn_rad) return std::nullopt;
    hinges_["hub"] =
        turning_axis(motions, network_.middle_of(*hub, reference).value, covariance_, "the wheel's axis");
  }
  return hinges_["hub"];
}

}  // namespace pivotfix
