// SPDX-License-Identifier: Apache-2.0
// The floor that the vehicle axes stand on: its plane, how even it is, and tags that do not lie flat.
#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cmath>

#include "base/chance.h"
#include "base/length_words.h"
#include "base/problem.h"
#include "base/units.h"
#include "locate/shapes.h"
#include "locate/vehicle_axes.h"

namespace pivotfix {

namespace {

using Eigen::Matrix3d;
using Eigen::MatrixXd;
using Eigen::Vector3d;

constexpr double floor_unevenness_limit_mm = 10.0;
constexpr double least_floor_width_mm = 100.0;

}  // namespace

void VehicleAxes::choose_floor_tags() {
  if (recipe_.floor_tags.size() < AxesRecipe::fewest_floor_tags)
    throw Problem(
        ProblemKind::refused,
        "The job names " + std::to_string(recipe_.floor_tags.size()) + " floor tags; a plane needs three.",
        "Add their numbers to `floor` under [axes].");
  floor_tags_ = placed(recipe_.floor_tags, AxesRecipe::fewest_floor_tags, "Floor tag");
}

void VehicleAxes::take_floor() {
  choose_floor_tags();
  const std::size_t count = floor_tags_.size();
  std::vector<Traced> floor;
  floor_middle_ = {Vector3d::Zero(), MatrixXd::Zero(3, network_.inputs())};
  for (const int number : floor_tags_) {
    floor.push_back(network_.centre(number, reference_, "the floor"));
    floor_middle_ = floor_middle_ + (1.0 / static_cast<double>(count)) * floor.back();
  }
  Matrix3d scatter = Matrix3d::Zero();
  for (const Traced& point : floor) {
    const Vector3d out = point.value - floor_middle_.value;
    scatter += out * out.transpose();
  }
  const Eigen::SelfAdjointEigenSolver<Matrix3d> shape(scatter);
  const double narrow_mm = std::sqrt(shape.eigenvalues()[1] / static_cast<double>(count));
  if (narrow_mm < least_floor_width_mm)
    throw Problem(ProblemKind::refused,
                  "The floor tags lie almost in one line (" + format_fixed(narrow_mm, 0) + " mm wide; " +
                      format_fixed(least_floor_width_mm, 0) + " mm are needed).",
                  "Spread three or more floor tags over the ground around the wheel.");
  const Vector3d up =
      network_.tag(floor_tags_.front(), reference_, "the floor").value.rotation * Vector3d::UnitZ();
  floor_normal_ = plane_through(floor, up, "the floor", 0.0);  // its tags are wide enough, as seen above
  refuse_uneven_floor(floor);
  judge_floor(floor);
  take_unevenness(floor, shape.eigenvectors().rightCols<2>(), shape.eigenvalues().tail<2>());
}

// The one furthest off is to blame: it drags the plane along, so that good ones are off it as well.
void VehicleAxes::refuse_uneven_floor(const std::vector<Traced>& floor) const {
  std::size_t worst = 0;
  double worst_mm = 0.0;
  for (std::size_t i = 0; i < floor.size(); ++i) {
    const double off_mm = std::abs((floor[i].value - floor_middle_.value).dot(floor_normal_.value));
    if (off_mm <= worst_mm) continue;
    worst = i;
    worst_mm = off_mm;
  }
  if (worst_mm > floor_unevenness_limit_mm)
    throw Problem(ProblemKind::refused,
                  "Floor tag " + std::to_string(floor_tags_[worst]) + " is " + format_fixed(worst_mm, 1) +
                      " mm off the plane of the floor tags.",
                  "Lay it flat on the ground, or take it out of `floor` in the job file.");
}

// Of the tags' distances from their plane: what is left of the squares' sum without what the photos' own
// uncertainty makes of it (the trace of the residuals' covariance).
double VehicleAxes::unexplained_squares_mm2(const std::vector<Traced>& floor,
                                            const Eigen::Matrix<double, 3, 2>& along_network) const {
  const auto count = static_cast<Eigen::Index>(floor.size());
  const MatrixXd& tag_covariance = network_.network().tag_covariance;
  Eigen::VectorXd off_mm(count);
  MatrixXd off_by_tags(count, tag_covariance.cols()), plane(count, 3);
  for (Eigen::Index i = 0; i < count; ++i) {
    const Traced& tag = floor[static_cast<std::size_t>(i)];
    const Vector3d out_mm = tag.value - floor_middle_.value;
    off_mm[i] = out_mm.dot(floor_normal_.value);
    off_by_tags.row(i) = floor_normal_.value.transpose() * tag.by_inputs.leftCols(tag_covariance.cols());
    plane.row(i) << 1.0, out_mm.transpose() * along_network;
  }
  const MatrixXd residual =
      MatrixXd::Identity(count, count) - plane * (plane.transpose() * plane).inverse() * plane.transpose();
  const MatrixXd left_by_tags = residual * off_by_tags;
  return off_mm.squaredNorm() - (left_by_tags * tag_covariance * left_by_tags.transpose()).trace();
}

// The tags lie on the ground, not in a plane: how far off it they are, beyond what the photos explain, tells
// how uncertain the plane through them is (residual variance of a regression); of three tags, only what was
// said of the floor. Along: the two directions in which the tags spread, with the sums of squared distances.
void VehicleAxes::take_unevenness(const std::vector<Traced>& floor,
                                  const Eigen::Matrix<double, 3, 2>& along_network,
                                  const Eigen::Vector2d& squares_along_mm2) {
  const auto count = static_cast<double>(floor.size());
  const double degrees_of_freedom = count - 3.0;
  double seen_mm2 = 0.0;
  if (degrees_of_freedom > 0.0)
    seen_mm2 = variance_widened_for_few(degrees_of_freedom) *
               std::max(0.0, unexplained_squares_mm2(floor, along_network) / degrees_of_freedom);
  const double sigma_mm = std::hypot(std::sqrt(seen_mm2), recipe_.floor_sigma_mm);
  for (int k = 0; k < 2; ++k) {
    floor_tilt_sigma_rad_[k] = sigma_mm / std::sqrt(squares_along_mm2[k]);
    floor_normal_.by_inputs.col(first_own_input_ + 2 + k) += along_network.col(k);
  }
  floor_height_sigma_mm_ = sigma_mm / std::sqrt(count);
}

// A tag on a cable or on a stone stands off the others' plane, or is tilted; of three, only the tilt tells.
void VehicleAxes::judge_floor(const std::vector<Traced>& floor) {
  constexpr double doubtful_off_mm =
      3.0;  // workshop floors are that even over a metre or two (common practice)
  constexpr double doubtful_tilt_rad = 2.5 * rad_per_deg;
  if (floor.size() == 3)
    notes_.push_back(
        "Three floor tags make a plane that nothing checks; a fourth tells whether one stands on something.");
  for (std::size_t i = 0; i < floor.size(); ++i) {
    const std::string name = "Floor tag " + std::to_string(floor_tags_[i]);
    const Vector3d face =
        network_.tag(floor_tags_[i], reference_, "the floor").value.rotation * Vector3d::UnitZ();
    const double tilt_rad = std::acos(std::clamp(face.dot(floor_normal_.value), -1.0, 1.0));
    const double off_mm = (floor[i].value - floor_middle_.value).dot(floor_normal_.value);
    if (std::abs(off_mm) > doubtful_off_mm)
      notes_.push_back(name + " is " + length_words(std::abs(off_mm), 1) +
                       " off the plane of the floor tags: does it, or do the others, stand on a cable?");
    else if (tilt_rad > doubtful_tilt_rad)
      notes_.push_back(name + " is tilted by " + format_fixed(deg_from_rad(tilt_rad), 1) +
                       " degrees against the floor: lay it flat.");
  }
}

}  // namespace pivotfix
