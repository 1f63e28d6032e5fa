// SPDX-License-Identifier: Apache-2.0
#include "advice/what_if.h"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>

#include "advice/height.h"
#include "advice/height_search.h"
#include "base/problem.h"

namespace pivotfix {
namespace {

constexpr double largest_change_mm = 500.0;

// What can be changed, and a hardpoint that the corner needs for it.
struct KnownChange {
  const char* name;
  const char* needs;
};
constexpr KnownChange known_changes[] = {{"ride-height", "wheel_centre"},
                                         {"lower-ball-joint", "lower_ball_joint"},
                                         {"lower-arm-pivots", "lower_arm_front_pivot"},
                                         {"upper-arm-pivots", "upper_arm_front_pivot"},
                                         {"rack", "link_inner_joint"},
                                         {"link-length", "link_inner_joint"},
                                         {"rod-end", "link_outer_joint"}};

[[noreturn]] void refuse(const std::string& what, const std::string& remedy) {
  throw Problem(ProblemKind::usage, what, remedy);
}

std::string trimmed(std::string_view text) {
  const std::size_t first = text.find_first_not_of(" \t");
  if (first == std::string_view::npos) return "";
  return std::string(text.substr(first, text.find_last_not_of(" \t") - first + 1));
}

double length_from(const std::string& text, LengthUnit unit) {
  double length_mm = 0.0;
  try {
    length_mm = parse_length_mm(text, unit);
  } catch (const Problem& problem) {
    refuse(problem.what_happened(), problem.remedy());
  }
  if (!(std::abs(length_mm) <= largest_change_mm))
    refuse("A change of " + format_length(length_mm, LengthUnit::millimetre, 0) + " is too much.",
           "It may be up to " + format_fixed(largest_change_mm, 0) + " mm.");
  return length_mm;
}

struct NameAndValue {
  std::string name{};
  std::string value{};
};

NameAndValue split_at_equals(std::string_view text) {
  const std::size_t equals = text.find('=');
  if (equals == std::string_view::npos)
    refuse("\"" + std::string(text) + "\" is no change.", "Write it like ride-height=-30mm.");
  return {trimmed(text.substr(0, equals)), trimmed(text.substr(equals + 1))};
}

[[noreturn]] void refuse_name(const std::string& name, Layout layout) {
  const std::vector<std::string>& points = hardpoint_names(layout);
  std::string known;
  for (const KnownChange& one : known_changes)
    if (std::count(points.begin(), points.end(), one.needs) > 0)
      known += (known.empty() ? "" : ", ") + std::string(one.name);
  refuse("\"" + name + "\" is nothing that can be changed on this corner.",
         "Known are " + known + ", and every hardpoint with .x, .y or .z, like link-inner-joint.z.");
}

// Points to be moved; false when the set has none of that name.
bool move_point(HardpointSet& set, const std::string& name, const Eigen::Vector3d& by_mm) {
  for (Hardpoint& point : set.points)
    if (point.name == name) {
      point.position_vehicle_mm += by_mm;
      return true;
    }
  return false;
}

void move_both(HardpointSet& set, const std::string& arm, double up_mm, const std::string& name) {
  for (const char* pivot : {"_front_pivot", "_rear_pivot"})
    if (!move_point(set, arm + pivot, {0.0, 0.0, up_mm})) refuse_name(name, set.layout);
}

// Down on the arc about the arm's swing axis, so that the arm keeps its length.
void extend_lower_ball_joint(HardpointSet& set, double down_mm, const std::string& name) {
  for (const char* point : {"lower_arm_front_pivot", "lower_arm_rear_pivot", "lower_ball_joint"})
    if (std::none_of(set.points.begin(), set.points.end(),
                     [&](const Hardpoint& one) { return one.name == point; }))
      refuse_name(name, set.layout);
  const Eigen::Vector3d front = set.position_vehicle_mm("lower_arm_front_pivot");
  const Eigen::Vector3d axis = (set.position_vehicle_mm("lower_arm_rear_pivot") - front).normalized();
  const Eigen::Vector3d ball = set.position_vehicle_mm("lower_ball_joint");
  // Height over the turn is a sine: Newton's method from the tangent.
  double turn_rad = 0.0;
  for (int i = 0; i < 30; ++i) {
    const Eigen::Vector3d arm = Eigen::AngleAxisd(turn_rad, axis) * (ball - front);
    const double miss_mm = (front + arm).z() - (ball.z() - down_mm);
    const double by_turn = axis.cross(arm).z();
    if (!(std::abs(by_turn) > 1.0)) break;
    turn_rad -= miss_mm / by_turn;
    if (std::abs(miss_mm) < 1e-9) {
      move_point(set, "lower_ball_joint", front + Eigen::AngleAxisd(turn_rad, axis) * (ball - front) - ball);
      return;
    }
  }
  throw Problem(ProblemKind::refused, "The lower arm does not reach that far down.",
                "Ask for a smaller change.");
}

void lengthen_link(HardpointSet& set, double by_mm) {
  const Eigen::Vector3d along =
      (set.position_vehicle_mm("link_inner_joint") - set.position_vehicle_mm("link_outer_joint"))
          .normalized();
  move_point(set, "link_inner_joint", by_mm * along);
}

// "link-inner-joint.z"
void move_coordinate(HardpointSet& set, const Change& change) {
  const std::size_t dot = change.name.rfind('.');
  if (dot == std::string::npos || dot + 2 != change.name.size()) refuse_name(change.name, set.layout);
  const std::size_t coordinate = std::string("xyz").find(change.name.back());
  std::string point = change.name.substr(0, dot);
  std::replace(point.begin(), point.end(), '-', '_');
  if (coordinate == std::string::npos ||
      !move_point(set, point, change.by_mm * Eigen::Vector3d::Unit(static_cast<Eigen::Index>(coordinate))))
    refuse_name(change.name, set.layout);
}

HardpointSet changed_once(HardpointSet set, const Change& change) {
  const Eigen::Vector3d up = change.by_mm * Eigen::Vector3d::UnitZ();
  if (change.name == "ride-height")
    return with_corner(set, at_other_ride_height(make_corner(set), -change.by_mm));
  if (change.name == "lower-ball-joint")
    extend_lower_ball_joint(set, change.by_mm, change.name);
  else if (change.name == "lower-arm-pivots")
    move_both(set, "lower_arm", change.by_mm, change.name);
  else if (change.name == "upper-arm-pivots")
    move_both(set, "upper_arm", change.by_mm, change.name);
  else if (change.name == "rack")
    move_point(set, "link_inner_joint", up);
  else if (change.name == "link-length")
    lengthen_link(set, change.by_mm);
  else if (change.name == "rod-end")
    move_point(set, "link_outer_joint",
               change.by_mm * (set.rod_end ? set.rod_end->stud_axis_vehicle
                                           : Eigen::Vector3d(Eigen::Vector3d::UnitZ())));
  else
    move_coordinate(set, change);
  return set;
}

std::string words_of(const std::vector<Change>& changes) {
  std::string words;
  for (const Change& change : changes) {
    std::string name = change.name;
    std::replace(name.begin(), name.end(), '-', ' ');
    std::replace(name.begin(), name.end(), '.', ' ');
    words += (words.empty() ? "" : ", ") + name + (change.by_mm < 0.0 ? " " : " +") +
             format_length(change.by_mm, LengthUnit::millimetre, 1);
  }
  return words;
}

AdviceQuestion changed_question(const AdviceQuestion& question, const std::vector<Change>& changes) {
  AdviceQuestion other = question;
  HardpointSet set = question.hardpoints;
  set.rod_end = question.rod_end;
  other.hardpoints = changed(set, changes);
  other.rod_end.stud_axis_vehicle = other.hardpoints.rod_end->stud_axis_vehicle;
  // Only spacers move it so, and which stand there then nobody said: no stack is told.
  if (std::any_of(changes.begin(), changes.end(), [](const Change& one) { return one.name == "rod-end"; })) {
    other.rod_end.stock.clear();
    other.rod_end.between_now.clear();
    other.rod_end.other_side_now.reset();
  }
  return other;
}

std::vector<double> steps_of(const SweepAxis& axis, int steps) {
  std::vector<double> values;
  for (int i = 0; i <= steps; ++i) values.push_back(axis.from_mm + (axis.to_mm - axis.from_mm) * i / steps);
  return values;
}

bool has_letters(const std::string& text) {
  return std::any_of(text.begin(), text.end(), [](unsigned char c) { return std::isalpha(c) != 0; });
}

}  // namespace

std::vector<Change> changes_from(std::string_view text, LengthUnit unit) {
  std::vector<Change> changes;
  for (std::size_t start = 0; start <= text.size();) {
    const std::size_t end = std::min(text.find(',', start), text.size());
    const NameAndValue one = split_at_equals(text.substr(start, end - start));
    changes.push_back({one.name, length_from(one.value, unit)});
    start = end + 1;
  }
  return changes;
}

HardpointSet with_corner(HardpointSet set, const Corner& corner) {
  const bool right = set.side == Side::right;
  if (right) set = mirrored(set);
  set.points = corner.points;
  set.covariance_mm2 = corner.covariance_mm2;
  set.wheel = corner.wheel;
  if (!set.rod_end) set.rod_end = RodEnd{};
  set.rod_end->stud_axis_vehicle = corner.stud_axis_vehicle;
  return right ? mirrored(set) : set;
}

HardpointSet changed(const HardpointSet& set, const std::vector<Change>& changes) {
  HardpointSet result = set;
  for (const Change& change : changes) result = changed_once(result, change);
  return result;
}

WhatIf what_if(const AdviceQuestion& question, const std::vector<Change>& changes) {
  WhatIf result;
  result.words = words_of(changes);
  try {
    result.advice = advise(changed_question(with_readings_used(question), changes));
  } catch (const Problem& problem) {
    if (problem.kind() != ProblemKind::refused) throw;
    result.refusal = problem.what_happened();
  }
  return result;
}

SweepAxis sweep_axis_from(std::string_view text, LengthUnit unit) {
  const NameAndValue one = split_at_equals(text);
  const std::size_t dots = one.value.find("..");
  if (dots == std::string::npos)
    refuse("\"" + std::string(text) + "\" is no range.", "Write it like rack=-10..10mm.");
  std::string from = trimmed(one.value.substr(0, dots));
  const std::string to = trimmed(one.value.substr(dots + 2));
  // "-10..10 mm": the unit is said once.
  if (!has_letters(from) && has_letters(to)) from += to.substr(to.find_first_not_of("0123456789.+- "));
  SweepAxis axis{one.name, length_from(from, unit), length_from(to, unit)};
  if (!(axis.from_mm < axis.to_mm))
    refuse("\"" + std::string(text) + "\" does not go from small to large.", "Write it like rack=-10..10mm.");
  return axis;
}

Sweep sweep(const AdviceQuestion& question, const SweepAxis& across, const SweepAxis& up, int steps) {
  if (across.name == up.name) refuse("Both sweeps change the same.", "Name two different things.");
  AdviceQuestion base = with_readings_used(question);
  base.hardpoints.covariance_mm2.resize(0, 0);  // nobody asks for it here
  Sweep result{across, up, steps_of(across, steps), steps_of(up, steps), {}, {}};
  const double none = std::numeric_limits<double>::quiet_NaN();
  result.best_height_change_mm.setConstant(steps + 1, steps + 1, none);
  result.largest_change_rad.setConstant(steps + 1, steps + 1, none);
  for (Eigen::Index row = 0; row <= steps; ++row)
    for (Eigen::Index column = 0; column <= steps; ++column) {
      try {
        const AdviceQuestion there =
            changed_question(base, {{across.name, result.across_mm[static_cast<std::size_t>(column)]},
                                    {up.name, result.up_mm[static_cast<std::size_t>(row)]}});
        const Corner corner = make_corner(there.hardpoints);
        const ToeCurve now = toe_curve("", corner, 0.0, base.driving.travel);
        if (now.ended_early.empty()) result.largest_change_rad(row, column) = now.largest_change_rad;
        const BestHeight best = best_height(corner, base.driving);
        if (best.found) result.best_height_change_mm(row, column) = best.height_mm;
      } catch (const Problem& problem) {
        if (problem.kind() != ProblemKind::refused) throw;
      }
    }
  return result;
}

}  // namespace pivotfix
