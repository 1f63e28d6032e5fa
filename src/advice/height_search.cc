// SPDX-License-Identifier: Apache-2.0
#include "advice/height_search.h"

#include <algorithm>
#include <cmath>

#include "base/problem.h"

namespace pivotfix {
namespace {

std::size_t index_named(const Corner& corner, std::string_view name) {
  const auto found = std::find_if(corner.points.begin(), corner.points.end(),
                                  [&](const Hardpoint& point) { return point.name == name; });
  if (found == corner.points.end())
    throw Problem(ProblemKind::internal, "The corner has no " + std::string(name) + ".",
                  "Please report this.");
  return static_cast<std::size_t>(found - corner.points.begin());
}

}  // namespace

Curve sampled_curve(const Corner& corner, const Travel& travel) {
  Curve curve = solve_curve(corner, travel, sample_mm);
  if (curve.states.size() < 2)
    throw Problem(ProblemKind::refused, "The wheel cannot move up or down. " + curve.ended_early,
                  "Check the hardpoints of arms and steering link for mix-ups.");
  return curve;
}

std::vector<double> weights_of(const std::vector<CornerState>& states, const Driving& driving) {
  std::vector<double> weights(states.size(), 0.0);
  double sum = 0.0;
  for (std::size_t i = 0; i < states.size(); ++i) {
    const double before = i > 0 ? states[i].travel_mm - states[i - 1].travel_mm : 0.0;
    const double after = i + 1 < states.size() ? states[i + 1].travel_mm - states[i].travel_mm : 0.0;
    weights[i] = 0.5 * (before + after) * weight_at(driving.weights, states[i].travel_mm);
    sum += weights[i];
  }
  if (!(sum > 0.0))
    throw Problem(ProblemKind::input, "All travel has the weight zero.", "Give some of it a weight.");
  for (double& weight : weights) weight /= sum;
  return weights;
}

ToeByHeight toe_by_height(const Corner& corner, double height_mm, const Travel& travel) {
  const Corner changed = with_rod_end_height(corner, height_mm);
  const Eigen::Index outer = outer_joint_coordinate(corner);
  ToeByHeight result;
  result.states = sampled_curve(changed, travel).states;
  for (const CornerState& state : result.states) {
    result.change_rad.push_back(state.toe_rad - corner.wheel.toe_rad);
    result.by_height.push_back(
        derivatives(changed, state).toe_by_coordinate.segment<3>(outer).dot(corner.stud_axis_vehicle));
  }
  return result;
}

BestHeight too_far_away() {
  BestHeight none;
  none.too_far = true;
  return none;
}

bool stud_lies_level(const Corner& corner) {
  constexpr double least_upright = 0.2;  // 78 degrees off the vertical
  return std::abs(corner.stud_axis_vehicle.z()) < least_upright;
}

Corner without_covariance(Corner corner) {
  corner.covariance_mm2.resize(0, 0);
  return corner;
}

double sigma_of(const Eigen::VectorXd& slopes, const Eigen::MatrixXd& covariance) {
  if (covariance.size() == 0) return 0.0;
  return std::sqrt(std::max(0.0, slopes.dot(covariance * slopes)));
}

Eigen::Index outer_joint_coordinate(const Corner& corner) {
  return static_cast<Eigen::Index>(3 * index_named(corner, "link_outer_joint"));
}

const Eigen::Vector3d& point_named(const Corner& corner, std::string_view name) {
  return corner.points[index_named(corner, name)].position_vehicle_mm;
}

double link_length_mm(const Corner& corner) {
  return (point_named(corner, "link_outer_joint") - point_named(corner, "link_inner_joint")).norm();
}

}  // namespace pivotfix
