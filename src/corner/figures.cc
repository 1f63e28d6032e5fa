// SPDX-License-Identifier: Apache-2.0
#include "base/problem.h"
#include "corner/corner.h"
#include "corner/figures_at.h"

namespace pivotfix {
namespace {

struct Row {
  Figure figure;
  std::string_view name;
};

constexpr std::array<Row, figure_count> rows{{
    {Figure::toe, "toe"},
    {Figure::camber, "camber"},
    {Figure::caster, "caster"},
    {Figure::inclination, "steering-axis inclination"},
    {Figure::scrub_radius, "scrub radius"},
    {Figure::trail, "trail"},
    {Figure::contact_forward, "contact point forward"},
    {Figure::contact_outward, "contact point outward"},
    {Figure::contact_upward, "contact point upward"},
    {Figure::instant_centre_y, "instant centre sideways"},
    {Figure::instant_centre_z, "instant centre height"},
    {Figure::swing_arm_length, "swing-arm length"},
    {Figure::roll_centre_height, "roll centre height"},
    {Figure::toe_per_travel, "toe by travel"},
    {Figure::camber_per_travel, "camber by travel"},
}};

}  // namespace

std::string_view name_of(Figure figure) {
  for (const Row& row : rows)
    if (row.figure == figure) return row.name;
  throw Problem(ProblemKind::internal, "A figure without a name.", "Please report this.");
}

Figures figures(const Corner& corner, const CornerState& state) {
  const FiguresOf<double> found =
      figures_of(standing(corner, state), drive_of(corner, state.travel_mm, state.rack_mm));
  return {found.values, found.instant_centre_far};
}

Eigen::MatrixXd figure_derivatives(const Corner& corner, const CornerState& state) {
  const Drive drive = drive_of(corner, state.travel_mm, state.rack_mm);
  const FiguresOf<Gradient> found = figures_of(with_gradients(standing(corner, state), drive), drive);
  const Eigen::Index n = static_cast<Eigen::Index>(3 * corner.points.size());
  Eigen::MatrixXd result(static_cast<Eigen::Index>(figure_count), n);
  for (std::size_t i = 0; i < figure_count; ++i)
    result.row(static_cast<Eigen::Index>(i)) = found.values[i].derivatives().head(n).transpose();
  return result;
}

SteeringAxis steering_axis(const Corner& corner) {
  const Standing<double> at = standing_at_ride(corner);
  const Eigen::Vector3d axis = steering_axis_of(at, motions_of(at, Drive{})).direction;
  return {std::atan2(-axis.x(), axis.z()), std::atan2(-axis.y(), axis.z())};
}

}  // namespace pivotfix
