// SPDX-License-Identifier: Apache-2.0
// From ride height step by step up and down: predict along the tangent, then Newton's method.
#include <Eigen/LU>
#include <Eigen/SVD>
#include <algorithm>
#include <cmath>
#include <optional>

#include "base/length_words.h"
#include "base/problem.h"
#include "base/units.h"
#include "corner/corner.h"
#include "corner/equations.h"

namespace pivotfix {
namespace {

using Vector6 = Eigen::Matrix<double, 6, 1>;
using Matrix6 = Eigen::Matrix<double, 6, 6>;

constexpr int most_iterations = 10;
constexpr double last_step = 1e-8;           // mm and rad; the next one would be below rounding (quadratic)
constexpr double rounding_mm = 1e-9;         // residuals above this are no solution
constexpr double largest_turn_rad = 0.1;     // correction of one step; more may be another assembly
constexpr double smallest_travel_mm = 1e-3;  // steps shorter than this mean that the corner locks

struct Solved {
  double travel_mm = 0.0;
  double rack_mm = 0.0;
  Eigen::Quaterniond rotation = Eigen::Quaterniond::Identity();
  Eigen::Vector3d shift_mm = Eigen::Vector3d::Zero();
  Matrix6 by_pose{};  // of the solution
  Vector6 by_travel{};
  Vector6 by_rack{};
};

class Solver {
 public:
  explicit Solver(const Corner& corner)
      : corner_(corner),
        list_(constraints_of(corner.layout)),
        points_(points_of(corner)),
        reference_(points_[list_.wheel_centre]),
        spin_(spin_axis_at_ride(corner.wheel)) {
    ride_.by_pose = equations(ride_).by_pose;
    const Eigen::PartialPivLU<Matrix6> factors(ride_.by_pose);
    set_tangents(ride_, factors);
    positive_ = factors.determinant() > 0.0;
    if (!ride_.by_travel.allFinite())
      throw Problem(ProblemKind::refused, "The corner is locked at ride height.",
                    "Check the hardpoints of arms and steering link for mix-ups.");
  }

  const Solved& ride() const { return ride_; }

  // Goes straight to that travel and rack position in as many steps as it takes; `from` ends at the last
  // place reached.
  bool reach(Solved& from, double travel_mm, double rack_mm) const {
    double share = 1.0;  // of the way that is left
    while (from.travel_mm != travel_mm || from.rack_mm != rack_mm) {
      const bool all = share >= 1.0;
      const double travel = all ? travel_mm : from.travel_mm + share * (travel_mm - from.travel_mm);
      const double rack = all ? rack_mm : from.rack_mm + share * (rack_mm - from.rack_mm);
      const double way = std::hypot(travel_mm - from.travel_mm, rack_mm - from.rack_mm);
      if (const std::optional<Solved> solved = newton(from, travel, rack)) {
        from = *solved;
        if (!all) share /= 1.0 - share;  // as long a step as this one
        continue;
      }
      share = 0.5 * std::min(share, 1.0);
      if (!(share * way >= smallest_travel_mm)) return false;
    }
    return true;
  }

  CornerState state_of(const Solved& solved) const {
    CornerState state;
    state.travel_mm = solved.travel_mm;
    state.rack_mm = solved.rack_mm;
    state.moved_from_ride.rotation = solved.rotation;
    state.moved_from_ride.translation_mm = reference_ + solved.shift_mm - solved.rotation * reference_;
    const Eigen::Vector3d spin = solved.rotation * spin_;
    state.toe_rad = toe_of(spin);
    state.camber_rad = camber_of(spin);
    state.toe_per_travel_rad_mm = toe_by_pose<double>(spin).dot(solved.by_travel);
    state.toe_per_rack_rad_mm = toe_by_pose<double>(spin).dot(solved.by_rack);
    return state;
  }

  std::string why_it_locks(const Solved& last, bool steering) const {
    // Which equations contradict each other there: the left singular vector of the smallest singular value.
    const Eigen::JacobiSVD<Matrix6> svd(scaled(last.by_pose), Eigen::ComputeFullU);
    Vector6 share = svd.matrixU().col(5).cwiseAbs();
    share[list_.travel_row] = 0.0;
    Eigen::Index most = 0;
    share.maxCoeff(&most);
    const double reached = steering ? last.rack_mm : last.travel_mm;
    const std::string way = steering ? "rack travel " + std::string(reached >= 0.0 ? "outboard" : "inboard")
                                     : (reached >= 0.0 ? "bump" : "droop");
    return "The corner cannot go beyond " + length_words(std::abs(reached), 1) + " of " + way +
           ": there it locks, the " + list_.parts[static_cast<std::size_t>(most)] + " most of all.";
  }

 private:
  Equations<double> equations(const Solved& at) const {
    return equations_at(list_, points_, reference_, Pose<double>{at.rotation.toRotationMatrix(), at.shift_mm},
                        drive_of(corner_, at.travel_mm, at.rack_mm));
  }

  // How the pose moves with travel and with the rack.
  void set_tangents(Solved& at, const Eigen::PartialPivLU<Matrix6>& factors) const {
    at.by_travel = factors.solve(Vector6::Unit(list_.travel_row));
    const Vector6 by_link = factors.solve(Vector6::Unit(list_.link_row));
    // The link's row is its direction, outwards, so this is what the rack's motion does to its equation.
    at.by_rack = by_link * at.by_pose.row(list_.link_row).head<3>().dot(corner_.rack_axis_vehicle);
  }

  // Rotations weighed with a lever of 100 mm, so that all columns are alike.
  static Matrix6 scaled(Matrix6 by_pose) {
    by_pose.rightCols<3>() /= 100.0;
    return by_pose;
  }

  static void move(Solved& at, const Vector6& change) {
    at.shift_mm += change.head<3>();
    at.rotation = turned_by(change.tail<3>(), at.rotation);
  }

  std::optional<Solved> newton(const Solved& from, double travel_mm, double rack_mm) const {
    Solved at = from;
    at.travel_mm = travel_mm;
    at.rack_mm = rack_mm;
    const Vector6 predicted =
        from.by_travel * (travel_mm - from.travel_mm) + from.by_rack * (rack_mm - from.rack_mm);
    if (!(predicted.tail<3>().norm() < 3.0 * largest_turn_rad)) return std::nullopt;
    move(at, predicted);
    Vector6 corrected = Vector6::Zero();
    for (int i = 0; i < most_iterations; ++i) {
      const Equations<double> now = equations(at);
      const Eigen::PartialPivLU<Matrix6> factors(now.by_pose);
      const Vector6 change = -factors.solve(now.residual_mm);
      corrected += change;
      if (!(corrected.tail<3>().norm() < largest_turn_rad)) return std::nullopt;  // also when not finite
      move(at, change);
      if (change.cwiseAbs().maxCoeff() > last_step) continue;
      if (now.residual_mm.cwiseAbs().maxCoeff() > rounding_mm) continue;
      const Matrix6 by_pose = equations(at).by_pose;  // where the last step led
      const Eigen::PartialPivLU<Matrix6> there(by_pose);
      if ((there.determinant() > 0.0) != positive_) return std::nullopt;  // passed a locked position
      at.by_pose = by_pose;
      set_tangents(at, there);
      return at;
    }
    return std::nullopt;
  }

  const Corner& corner_;
  const ConstraintList& list_;
  Points<double> points_;
  Eigen::Vector3d reference_;
  Eigen::Vector3d spin_;
  Solved ride_{};
  bool positive_ = true;
};

// The states on one side of `start`, without it; a sentence when it ends early.
std::string follow(const Solver& solver, const Solved& start, double end_mm, double step_mm,
                   std::vector<CornerState>& states) {
  const int count = static_cast<int>(std::ceil(std::abs(end_mm) / step_mm - 1e-9));
  Solved at = start;
  for (int i = 1; i <= count; ++i) {
    if (!solver.reach(at, i == count ? end_mm : end_mm * i / count, start.rack_mm))
      return solver.why_it_locks(at, false);
    states.push_back(solver.state_of(at));
  }
  return {};
}

}  // namespace

Curve solve_curve(const Corner& corner, const Travel& travel, double step_mm) {
  return solve_curve(corner, travel, step_mm, 0.0);
}

Curve solve_curve(const Corner& corner, const Travel& travel, double step_mm, double rack_mm) {
  if (!(travel.bump_mm >= 0.0 && travel.droop_mm >= 0.0 && travel.bump_mm <= 1000.0 &&
        travel.droop_mm <= 1000.0 && step_mm >= 1e-3))
    throw Problem(ProblemKind::input,
                  "The wheel travel must be between 0 and 1000 mm, its step above 0.001 mm.",
                  "Correct bump and droop.");
  if (!(std::abs(rack_mm) <= 1000.0))
    throw Problem(ProblemKind::input, "The rack's position must be within 1000 mm of straight ahead.",
                  "Correct it.");
  const Solver solver(corner);
  Curve curve;
  Solved start = solver.ride();
  if (!solver.reach(start, 0.0, rack_mm)) {
    curve.ended_early = solver.why_it_locks(start, true);
    return curve;
  }
  const std::string below = follow(solver, start, -travel.droop_mm, step_mm, curve.states);
  std::reverse(curve.states.begin(), curve.states.end());
  curve.states.push_back(solver.state_of(start));
  const std::string above = follow(solver, start, travel.bump_mm, step_mm, curve.states);
  curve.ended_early = below.empty() || above.empty() ? below + above : below + " " + above;
  return curve;
}

CornerState solve_state(const Corner& corner, double travel_mm, double rack_mm) {
  const Solver solver(corner);
  Solved at = solver.ride();
  const bool steered = solver.reach(at, 0.0, rack_mm);
  if (!steered || !solver.reach(at, travel_mm, rack_mm))
    throw Problem(ProblemKind::refused, solver.why_it_locks(at, !steered), "Ask for less travel.");
  return solver.state_of(at);
}

}  // namespace pivotfix
