// SPDX-License-Identifier: Apache-2.0
// From ride height step by step up and down: predict along the tangent, then Newton's method.
#include <Eigen/LU>
#include <Eigen/SVD>
#include <algorithm>
#include <cmath>
#include <optional>

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
  Eigen::Quaterniond rotation = Eigen::Quaterniond::Identity();
  Eigen::Vector3d shift_mm = Eigen::Vector3d::Zero();
  Matrix6 by_pose{};  // of the solution
  Vector6 by_travel{};
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
    ride_.by_travel = factors.solve(Vector6::Unit(list_.travel_row));
    positive_ = factors.determinant() > 0.0;
    if (!ride_.by_travel.allFinite())
      throw Problem(ProblemKind::refused, "The corner is locked at ride height.",
                    "Check the hardpoints of arms and steering link for mix-ups.");
  }

  const Solved& ride() const { return ride_; }

  // Goes to `travel_mm` in as many steps as it takes; `from` ends at the last place reached.
  bool reach(Solved& from, double travel_mm) const {
    double step = travel_mm - from.travel_mm;
    while (from.travel_mm != travel_mm) {
      const double left = travel_mm - from.travel_mm;
      const double next = std::abs(step) < std::abs(left) ? from.travel_mm + step : travel_mm;
      if (const std::optional<Solved> solved = newton(from, next)) {
        from = *solved;
        continue;
      }
      step = 0.5 * (next - from.travel_mm);
      if (std::abs(step) < smallest_travel_mm) return false;
    }
    return true;
  }

  CornerState state_of(const Solved& solved) const {
    CornerState state;
    state.travel_mm = solved.travel_mm;
    state.moved_from_ride.rotation = solved.rotation;
    state.moved_from_ride.translation_mm = reference_ + solved.shift_mm - solved.rotation * reference_;
    const Eigen::Vector3d spin = solved.rotation * spin_;
    state.toe_rad = toe_of(spin);
    state.camber_rad = camber_of(spin);
    state.toe_per_travel_rad_mm = toe_by_pose<double>(spin).dot(solved.by_travel);
    return state;
  }

  std::string why_it_locks(const Solved& last) const {
    // Which equations contradict each other there: the left singular vector of the smallest singular value.
    const Eigen::JacobiSVD<Matrix6> svd(scaled(last.by_pose), Eigen::ComputeFullU);
    Vector6 share = svd.matrixU().col(5).cwiseAbs();
    share[list_.travel_row] = 0.0;
    Eigen::Index most = 0;
    share.maxCoeff(&most);
    return "The corner cannot go beyond " + format_fixed(std::abs(last.travel_mm), 1) + " mm of " +
           (last.travel_mm >= 0.0 ? "bump" : "droop") + ": there it locks, the " +
           list_.parts[static_cast<std::size_t>(most)] + " most of all.";
  }

 private:
  Equations<double> equations(const Solved& at) const {
    return equations_at(list_, points_, reference_, Pose<double>{at.rotation.toRotationMatrix(), at.shift_mm},
                        at.travel_mm);
  }

  // Rotations weighed with a lever of 100 mm, so that all columns are alike.
  static Matrix6 scaled(Matrix6 by_pose) {
    by_pose.rightCols<3>() /= 100.0;
    return by_pose;
  }

  static void move(Solved& at, const Vector6& change) {
    at.shift_mm += change.head<3>();
    const double angle = change.tail<3>().norm();
    if (angle > 0.0)
      at.rotation = (Eigen::AngleAxisd(angle, change.tail<3>() / angle) * at.rotation).normalized();
  }

  std::optional<Solved> newton(const Solved& from, double travel_mm) const {
    Solved at = from;
    at.travel_mm = travel_mm;
    const Vector6 predicted = from.by_travel * (travel_mm - from.travel_mm);
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
      if ((factors.determinant() > 0.0) != positive_) return std::nullopt;  // passed a locked position
      at.by_pose = now.by_pose;
      at.by_travel = factors.solve(Vector6::Unit(list_.travel_row));
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

// The states on one side of ride height, without it; a sentence when it ends early.
std::string follow(const Solver& solver, double end_mm, double step_mm, std::vector<CornerState>& states) {
  const int count = static_cast<int>(std::ceil(std::abs(end_mm) / step_mm - 1e-9));
  Solved at = solver.ride();
  for (int i = 1; i <= count; ++i) {
    if (!solver.reach(at, i == count ? end_mm : end_mm * i / count)) return solver.why_it_locks(at);
    states.push_back(solver.state_of(at));
  }
  return {};
}

}  // namespace

Curve solve_curve(const Corner& corner, const Travel& travel, double step_mm) {
  if (!(travel.bump_mm >= 0.0 && travel.droop_mm >= 0.0 && travel.bump_mm <= 1000.0 &&
        travel.droop_mm <= 1000.0 && step_mm >= 1e-3))
    throw Problem(ProblemKind::input,
                  "The wheel travel must be between 0 and 1000 mm, its step above 0.001 mm.",
                  "Correct bump and droop.");
  const Solver solver(corner);
  Curve curve;
  const std::string below = follow(solver, -travel.droop_mm, step_mm, curve.states);
  std::reverse(curve.states.begin(), curve.states.end());
  curve.states.push_back(solver.state_of(solver.ride()));
  const std::string above = follow(solver, travel.bump_mm, step_mm, curve.states);
  curve.ended_early = below.empty() || above.empty() ? below + above : below + " " + above;
  return curve;
}

}  // namespace pivotfix
