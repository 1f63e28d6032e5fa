// SPDX-License-Identifier: Apache-2.0
// Refuses by name what cannot be a corner. The bounds are wide: they are there for mix-ups, not for taste.
#include <Eigen/LU>
#include <Eigen/SVD>
#include <algorithm>
#include <cctype>
#include <cmath>

#include "base/problem.h"
#include "base/units.h"
#include "corner/corner.h"
#include "corner/motion.h"
#include "hardpoints/workshop_words.h"

namespace pivotfix {
namespace {

constexpr double shortest_arm_mm = 60.0;
constexpr double longest_arm_mm = 1500.0;
constexpr double farthest_apart_mm = 4000.0;
constexpr double smallest_gap_mm = 1.0;
constexpr double smallest_steering_arm_mm = 10.0;
constexpr double smallest_rise_mm = 50.0;  // of the steering axis, from lower to upper pivot
constexpr double smallest_pivot_base_mm = 20.0;
constexpr double largest_wheel_angle_rad = 0.5;
constexpr double lowest_joint_mm = 10.0;  // over the ground

// The sentence starts with a capital letter.
[[noreturn]] void refuse(std::string what, const std::string& remedy) {
  what[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(what[0])));
  throw Problem(ProblemKind::refused, what, remedy);
}

std::string mm(double length_mm) {
  return format_fixed(length_mm, 1) + " mm";
}

std::string the(const Corner& corner, std::size_t index) {
  return "the " + workshop_words(corner.points[index].name);
}

const Eigen::Vector3d& at(const Corner& corner, std::size_t index) {
  return corner.points[index].position_vehicle_mm;
}

double distance_from_line(const Eigen::Vector3d& point, const Eigen::Vector3d& a, const Eigen::Vector3d& b) {
  return (point - a).cross(b - a).norm() / (b - a).norm();
}

// "a, b and c"
std::string enumerated(const std::vector<std::string>& words) {
  std::string text;
  for (std::size_t i = 0; i < words.size(); ++i)
    text += (i == 0 ? "" : i + 1 < words.size() ? ", " : " and ") + words[i];
  return text;
}

// Points and covariance of `set` (left) in the order of the layout.
Corner sorted(const HardpointSet& set) {
  Corner corner;
  corner.layout = set.layout;
  corner.wheel = set.wheel;
  std::vector<std::size_t> order;
  std::vector<std::string> missing;
  for (const std::string& name : hardpoint_names(set.layout)) {
    const auto found = std::find_if(set.points.begin(), set.points.end(),
                                    [&](const Hardpoint& point) { return point.name == name; });
    if (found == set.points.end()) {
      missing.push_back("the " + workshop_words(name) + " (" + name + ")");
      continue;
    }
    order.push_back(static_cast<std::size_t>(found - set.points.begin()));
    corner.points.push_back(*found);
  }
  if (!missing.empty())
    refuse("The corner (" + words_of(set.layout) + ") lacks " + enumerated(missing) + ".",
           "Measure or type in what is missing.");
  if (set.covariance_mm2.size() == 0) return corner;
  const Eigen::Index rows = static_cast<Eigen::Index>(3 * set.points.size());
  if (set.covariance_mm2.rows() != rows || set.covariance_mm2.cols() != rows ||
      !set.covariance_mm2.allFinite())
    refuse("The covariance does not fit the hardpoints.",
           "It needs three rows and columns for each of them.");
  const Eigen::Index n = static_cast<Eigen::Index>(order.size());
  corner.covariance_mm2.resize(3 * n, 3 * n);
  for (Eigen::Index r = 0; r < n; ++r)
    for (Eigen::Index c = 0; c < n; ++c)
      corner.covariance_mm2.block<3, 3>(3 * r, 3 * c) =
          set.covariance_mm2.block<3, 3>(static_cast<Eigen::Index>(3 * order[static_cast<std::size_t>(r)]),
                                         static_cast<Eigen::Index>(3 * order[static_cast<std::size_t>(c)]));
  return corner;
}

void check_numbers(const Corner& corner) {
  for (const Hardpoint& point : corner.points)
    if (!point.position_vehicle_mm.allFinite())
      refuse("the " + workshop_words(point.name) + " has a coordinate that is no number.", "Correct it.");
  if (!(std::abs(corner.wheel.toe_rad) < largest_wheel_angle_rad &&
        std::abs(corner.wheel.camber_rad) < largest_wheel_angle_rad))
    refuse("Toe or camber at ride height is above " + format_fixed(deg_from_rad(largest_wheel_angle_rad), 0) +
               " degrees.",
           "Correct it.");
}

// A typed unit of the wrong kind shows in the lower arm first.
void check_size(const Corner& corner, const LowerArm& arm) {
  const Eigen::Vector3d outer = 0.5 * (at(corner, arm.front_outer) + at(corner, arm.rear_outer));
  const double length = distance_from_line(outer, at(corner, arm.front_inner), at(corner, arm.rear_inner));
  const double base = (at(corner, arm.front_inner) - at(corner, arm.rear_inner)).norm();
  const std::string found = "The lower arm would be " + format_fixed(length, 3) + " mm long";
  const double largest = std::max(length, base);
  if (largest < 0.001 * longest_arm_mm && largest > 0.001 * shortest_arm_mm)
    refuse(found + ": the hardpoints look like metres.", "Give them in millimetres.");
  if (largest < shortest_arm_mm && largest > shortest_arm_mm / mm_per_inch)
    refuse(found + ": the hardpoints look like inches or centimetres.",
           "Give them in millimetres, or say that the units are inches.");
  if (length > 1000.0 * shortest_arm_mm)
    refuse(found + ": the hardpoints look like micrometres.", "Give them in millimetres.");
  if (length > longest_arm_mm)
    refuse(found + ", more than " + mm(longest_arm_mm) + ".", "Check the units and the arm's hardpoints.");
  for (std::size_t a = 0; a < corner.points.size(); ++a)
    for (std::size_t b = 0; b < a; ++b)
      if (const double apart = (at(corner, a) - at(corner, b)).norm(); apart > farthest_apart_mm)
        refuse(the(corner, b) + " and " + the(corner, a) + " are " + mm(apart) + " apart.",
               "Check the units and both hardpoints.");
}

void check_coincidence(const Corner& corner) {
  for (std::size_t a = 0; a < corner.points.size(); ++a) {
    for (std::size_t b = 0; b < a; ++b) {
      const std::string& low = corner.points[a].name;
      // The strut's axis may be given by the ball joint that lies on it.
      if (low == "strut_axis_low" && corner.points[b].name == "lower_ball_joint") continue;
      // Two links may meet in one outer joint.
      if (corner.points[b].name.ends_with("link_outer_joint") && low.ends_with("link_outer_joint") &&
          low != "link_outer_joint")
        continue;
      if ((at(corner, a) - at(corner, b)).norm() < smallest_gap_mm)
        refuse(the(corner, b) + " and " + the(corner, a) + " are the same point.", "Correct one of them.");
    }
  }
}

void check_order(const Corner& corner, std::size_t front, std::size_t rear) {
  if (at(corner, front).x() <= at(corner, rear).x())
    refuse(
        the(corner, front) + " does not lie ahead of " + the(corner, rear) + ": front and rear look swapped.",
        "x points forward; exchange the two or check the signs of x.");
}

void check_arm(const Corner& corner, const FixedDistance& front_leg, const FixedDistance& rear_leg) {
  const std::string arm = front_leg.part;
  const std::size_t front = front_leg.body_point;
  const std::size_t rear = rear_leg.body_point;
  const std::size_t ball = front_leg.knuckle_point;
  const double base = (at(corner, front) - at(corner, rear)).norm();
  if (base < smallest_pivot_base_mm)
    refuse("The pivots of the " + arm + " are only " + mm(base) + " apart.",
           "At least " + mm(smallest_pivot_base_mm) + " are needed to know its axis.");
  const double length = distance_from_line(at(corner, ball), at(corner, front), at(corner, rear));
  if (length < shortest_arm_mm)
    refuse("The " + arm + " lies in one line: " + the(corner, ball) + " is only " + mm(length) +
               " away from the line through " + the(corner, front) + " and " + the(corner, rear) + ".",
           "Check these three hardpoints.");
  check_order(corner, front, rear);
  if (at(corner, ball).y() <= std::min(at(corner, front).y(), at(corner, rear).y()))
    refuse(the(corner, ball) + " does not lie outboard of " + the(corner, front) + " and " +
               the(corner, rear) + ".",
           "Check whether pivots and ball joint are swapped, and the side of the car.");
}

void check_links(const Corner& corner, const FixedDistance& front, const FixedDistance& rear) {
  for (const FixedDistance& link : {front, rear}) {
    const double length = (at(corner, link.knuckle_point) - at(corner, link.body_point)).norm();
    if (length < shortest_arm_mm)
      refuse("The " + std::string(link.part) + " is only " + mm(length) + " long.",
             "Check " + the(corner, link.body_point) + " and " + the(corner, link.knuckle_point) + ".");
    if (at(corner, link.knuckle_point).y() <= at(corner, link.body_point).y())
      refuse(the(corner, link.knuckle_point) + " does not lie outboard of " + the(corner, link.body_point) +
                 ": inner and outer joint look swapped.",
             "Exchange the two, or check the side of the car.");
  }
  const double base = (at(corner, front.body_point) - at(corner, rear.body_point)).norm();
  if (base < smallest_pivot_base_mm)
    refuse("The inner joints of the " + std::string(front.part) + " and the " + rear.part + " are only " +
               mm(base) + " apart.",
           "At least " + mm(smallest_pivot_base_mm) + " are needed.");
  check_order(corner, front.body_point, rear.body_point);
}

// The distances come in pairs: two legs to one ball joint are an arm, others are links.
void check_arms(const Corner& corner, const ConstraintList& list) {
  for (std::size_t i = 1; i < list.constraints.size(); i += 2) {
    const FixedDistance* front = std::get_if<FixedDistance>(&list.constraints[i - 1]);
    const FixedDistance* rear = std::get_if<FixedDistance>(&list.constraints[i]);
    if (!front || !rear) continue;
    if (front->knuckle_point == rear->knuckle_point)
      check_arm(corner, *front, *rear);
    else
      check_links(corner, *front, *rear);
  }
}

void check_strut(const Corner& corner, const ConstraintList& list) {
  for (const Constraint& constraint : list.constraints) {
    const PointOnLine* strut = std::get_if<PointOnLine>(&constraint);
    if (!strut) continue;
    const double rise = at(corner, strut->body_point).z() - at(corner, strut->knuckle_point).z();
    if (rise < smallest_rise_mm)
      refuse(the(corner, strut->body_point) + " must be at least " + mm(smallest_rise_mm) + " above " +
                 the(corner, strut->knuckle_point) + ", but is " + mm(rise) + " above it.",
             "z points up; check both hardpoints.");
  }
}

void check_side(const Corner& corner, const ConstraintList& list, Side named) {
  const char* remedy = "Left has positive y, right negative y. Correct the side or the signs of y.";
  const Eigen::Vector3d& wheel = at(corner, list.wheel_centre);
  if (wheel.y() < 0.0)
    refuse(std::string("these are the hardpoints of a ") + (named == Side::left ? "right" : "left") +
               " corner, but it is called " + std::string(name_of(named)) + ".",
           remedy);
  const LowerArm& arm = list.lower_arm;
  const double pivots_y = 0.5 * (at(corner, arm.front_inner).y() + at(corner, arm.rear_inner).y());
  if (wheel.y() < pivots_y) refuse("the wheel does not lie outboard of the lower arm's pivots.", remedy);
}

void check_heights(const Corner& corner, const ConstraintList& list) {
  const double rise = at(corner, list.knuckle_high).z() - at(corner, list.knuckle_low).z();
  if (rise < smallest_rise_mm)
    refuse(the(corner, list.knuckle_high) + " must be at least " + mm(smallest_rise_mm) + " above " +
               the(corner, list.knuckle_low) + ", but is " + mm(rise) + " above it.",
           "z points up; check both hardpoints.");
  if (const double height = at(corner, list.wheel_centre).z(); height < smallest_rise_mm)
    refuse(the(corner, list.wheel_centre) + " is " + mm(height) + " above the ground, at least " +
               mm(smallest_rise_mm) + " are needed.",
           "z counts from the ground that the tyres stand on.");
}

// Metres among millimetres in one point only.
void check_places(const Corner& corner) {
  for (std::size_t i = 0; i < corner.points.size(); ++i)
    if (const double height = at(corner, i).z(); height < lowest_joint_mm)
      refuse(the(corner, i) + " is " + mm(height) + " above the ground, at least " + mm(lowest_joint_mm) +
                 " are needed.",
             "z counts from the ground that the tyres stand on; check its units too.");
}

void check_link(const Corner& corner, const ConstraintList& list) {
  const Eigen::Vector3d link = at(corner, list.link_outer) - at(corner, list.link_inner);
  const double length = link.norm();
  if (length < shortest_arm_mm)
    refuse("The steering link is only " + mm(length) + " long.", "Check both joints of the steering link.");
  if (std::abs(link.y()) < 0.5 * length)
    refuse("The steering link does not run across the car.", "Check both joints of the steering link.");
  if (link.y() < 0.0)
    refuse(the(corner, list.link_outer) + " does not lie outboard of " + the(corner, list.link_inner) +
               ": inner and outer joint look swapped.",
           "Exchange the two, or check the side of the car.");
}

// The link must have a lever about the steering axis, or it cannot hold the wheel's direction.
void check_steering_arm(const Corner& corner) {
  const double lever = std::abs(motions_of(standing_at_ride(corner), Drive{}).link_by_toe);
  if (!(lever >= smallest_steering_arm_mm))
    refuse("The steering link points at the steering axis: its lever is " +
               (std::isfinite(lever) ? mm(lever) : std::string("nothing")) + ", at least " +
               mm(smallest_steering_arm_mm) + " are needed.",
           "Check both joints of the steering link and the joints that make the steering axis.");
}

void check_solvable(const Corner& corner, const ConstraintList& list) {
  const Points<double> points = points_of(corner);
  Eigen::Matrix<double, 6, 6> by_pose =
      equations_at(list, points, points[list.wheel_centre], Pose<double>{}, Drive{}).by_pose;
  by_pose.rightCols<3>() /= 100.0;  // a lever of 100 mm makes turns and shifts alike
  const Eigen::JacobiSVD<Eigen::Matrix<double, 6, 6>> svd(by_pose);
  if (!(svd.singularValues()[5] > 1e-3 * svd.singularValues()[0]))
    refuse("The corner is locked at ride height: the wheel cannot move up and down with these hardpoints.",
           "Check the hardpoints of arms and steering link for mix-ups.");
}

void take_rack_axis(const Eigen::Vector3d& axis, Corner& corner) {
  if (!(axis.allFinite() && std::abs(axis.y()) > 0.5 * axis.norm()))
    refuse("The inner link joint's direction of travel does not run across the car.",
           "Give the rack's direction as x y z; [0, 1, 0] is straight across.");
  corner.rack_axis_vehicle = axis.normalized() * (axis.y() > 0.0 ? 1.0 : -1.0);
}

void take_stud_axis(const Eigen::Vector3d& axis, Corner& corner) {
  if (!(axis.allFinite() && axis.norm() > 1e-6))
    refuse("The stud axis of the rod end has no direction.", "Give it as x y z; [0, 0, 1] is upright.");
  corner.stud_axis_vehicle = axis.normalized() * (axis.z() > 0.0 ? 1.0 : -1.0);
}

}  // namespace

Corner make_corner(const HardpointSet& set) {
  const HardpointSet left = set.side == Side::left ? set : mirrored(set);
  Corner corner = sorted(left);
  const ConstraintList& list = constraints_of(corner.layout);
  check_numbers(corner);
  check_size(corner, list.lower_arm);
  check_side(corner, list, set.side);
  check_coincidence(corner);
  check_arms(corner, list);
  check_strut(corner, list);
  check_heights(corner, list);
  check_link(corner, list);
  check_places(corner);
  check_steering_arm(corner);
  check_solvable(corner, list);
  take_rack_axis(left.rack_axis_vehicle, corner);
  if (left.rod_end) take_stud_axis(left.rod_end->stud_axis_vehicle, corner);
  return corner;
}

Corner with_rod_end_height(const Corner& corner, double height_mm) {
  Corner changed = corner;
  // Link length follows from the hardpoints at ride height, where the wheel keeps its static toe.
  changed.points[constraints_of(corner.layout).link_outer].position_vehicle_mm +=
      height_mm * corner.stud_axis_vehicle;
  return changed;
}

}  // namespace pivotfix
