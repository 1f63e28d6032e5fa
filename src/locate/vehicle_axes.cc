// SPDX-License-Identifier: Apache-2.0
#include "locate/vehicle_axes.h"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>

#include "base/length_words.h"
#include "base/problem.h"
#include "base/units.h"

namespace pivotfix {

namespace {

using Eigen::Matrix3d;
using Eigen::MatrixXd;
using Eigen::Vector3d;

constexpr double least_forward_line_mm = 100.0;
constexpr double least_car_width_mm = 300.0;  // between like points or hubs of one axle
constexpr double least_wheelbase_mm = 1000.0;

Traced mean(const Traced& a, const Traced& b) {
  return 0.5 * (a + b);
}

Traced cross(const Traced& a, const Traced& b) {
  return {a.value.cross(b.value), cross_matrix(a.value) * b.by_inputs - cross_matrix(b.value) * a.by_inputs};
}

}  // namespace

VehicleAxes::VehicleAxes(const TracedNetwork& network, const AxesRecipe& recipe, const std::string& reference,
                         Eigen::Index first_own_input)
    : network_(network), recipe_(recipe), reference_(reference), first_own_input_(first_own_input) {
  turn_sigma_rad_ = recipe.forward_sigma_rad;
  take_floor();
  take_lengthwise(floor_normal_, lengthwise(floor_normal_));
  take_level();
}

// Of more tags than are needed, those that the photos do not place are left out. All of them, to be refused
// by name, when too few are placed.
std::vector<int> VehicleAxes::placed(const std::vector<int>& tags, std::size_t fewest,
                                     const std::string& name) {
  std::vector<int> found;
  std::vector<std::string> left_out;
  for (const int number : tags) {
    if (network_.index_of(number, reference_) >= 0)
      found.push_back(number);
    else
      left_out.push_back(name + " " + std::to_string(number) +
                         " is not in two photos that fit together with the others: left out.");
  }
  if (found.size() < fewest) return tags;
  notes_.insert(notes_.end(), left_out.begin(), left_out.end());
  return found;
}

Eigen::Vector<double, VehicleAxes::own_inputs> VehicleAxes::own_sigma() const {
  const double level_sigma_rad = recipe_.level ? recipe_.level->sigma_rad : 0.0;
  return {turn_sigma_rad_,        shift_sigma_mm_, floor_tilt_sigma_rad_[0], floor_tilt_sigma_rad_[1],
          floor_height_sigma_mm_, level_sigma_rad, level_sigma_rad};
}

void VehicleAxes::require_width(int left, int right, const std::string& what) const {
  const double apart_mm =
      (network_.centre(left, reference_, what).value - network_.centre(right, reference_, what).value).norm();
  if (apart_mm >= least_car_width_mm) return;
  throw Problem(ProblemKind::refused,
                "Tags " + std::to_string(left) + " and " + std::to_string(right) + ", named as " + what +
                    " on both sides of the car, are only " + format_fixed(apart_mm, 0) + " mm apart (" +
                    format_fixed(least_car_width_mm, 0) + " mm are needed).",
                "Set them on the same place of the left and the right side, far from the middle.");
}

// From its first to its last tag, straight through those between.
Traced VehicleAxes::forward_line() {
  constexpr std::size_t fewest_tags = AxesRecipe::fewest_on_forward_line;
  std::vector<int> tags{recipe_.forward_from};
  tags.insert(tags.end(), recipe_.forward_between.begin(), recipe_.forward_between.end());
  tags.push_back(recipe_.forward_to);
  std::vector<Traced> points;
  for (const int number : placed(tags, fewest_tags, "Tag of the forward line"))
    points.push_back(network_.centre(number, reference_, "the forward direction"));
  Traced ends = points.back() - points.front();
  if (points.size() == fewest_tags) return ends;
  // Slope by least squares over the places along the line, which the ends tell well enough.
  const Vector3d along = ends.value.normalized();
  double middle_mm = 0.0, spread_mm2 = 0.0;
  for (const Traced& point : points) middle_mm += along.dot(point.value) / static_cast<double>(points.size());
  for (const Traced& point : points) spread_mm2 += std::pow(along.dot(point.value) - middle_mm, 2);
  Traced line{Vector3d::Zero(), MatrixXd::Zero(3, network_.inputs())};
  const double length_mm = ends.value.norm();
  for (const Traced& point : points)
    line = line + (length_mm * (along.dot(point.value) - middle_mm) / spread_mm2) * point;
  return line;
}

// One pair is enough; of more, those of which the photos do not place both are left out.
std::vector<std::pair<int, int>> VehicleAxes::placed_like_points() {
  std::vector<std::pair<int, int>> found;
  std::vector<std::string> left_out;
  for (const auto& [left, right] : recipe_.like_points) {
    if (network_.index_of(left, reference_) >= 0 && network_.index_of(right, reference_) >= 0)
      found.emplace_back(left, right);
    else
      left_out.push_back("Like points " + std::to_string(left) + " and " + std::to_string(right) +
                         " are not both in two photos that fit together with the others: left out.");
  }
  if (found.empty()) return recipe_.like_points;
  notes_.insert(notes_.end(), left_out.begin(), left_out.end());
  return found;
}

std::string VehicleAxes::unlike_words() const {
  return ", taken to be alike on both sides within " + length_words(recipe_.like_sigma_mm, 1) +
         "; that turns all pivots together by " + format_fixed(deg_from_rad(turn_sigma_rad_), 2) +
         " degrees and shifts them sideways by " + length_words(shift_sigma_mm_, 1) +
         " (both are in their uncertainty)";
}

std::string VehicleAxes::half_track_words(const std::string& besides) const {
  return "is set " + length_words(recipe_.half_track_mm, 1) + " inboard of the wheel centre, as measured; " +
         (shift_sigma_mm_ > 0.0 ? "its uncertainty of " + length_words(shift_sigma_mm_, 1) + besides +
                                      " is in the sideways place of every pivot from the photos alike"
                                : "its own uncertainty is not in the table");
}

// Up and down the wheel centre runs on an arc: over 10 to 30 mm of height it shifts sideways by 0.03 to 0.07
// of that (root mean square over plausible corners, at most 0.16) [derived], and which way only the pivots
// tell, which are not known yet.
void VehicleAxes::widen_half_track(double off_height_mm) {
  constexpr double sideways_per_height = 0.1, least_said_mm = 0.5;
  if (!middles_.empty()) return;
  shift_sigma_mm_ = std::hypot(recipe_.half_track_sigma_mm, sideways_per_height * off_height_mm);
  if (std::abs(off_height_mm) < least_said_mm) return;
  centre_plane_words_ =
      half_track_words(", of it a tenth of the " + length_words(std::abs(off_height_mm), 1) +
                       " by which the wheel stood off its recorded height in the photos,");
}

// A vector along the car, and what the centre plane rests on.
Traced VehicleAxes::lengthwise(const Traced& normal) {
  const auto centre = [&](int number, const char* needed_for) {
    return network_.centre(number, reference_, needed_for);
  };
  if (recipe_.hubs) {
    const auto& [front_left, front_right, rear_left, rear_right] = *recipe_.hubs;
    middles_.push_back(mean(centre(front_left, "the hubs"), centre(front_right, "the hubs")));
    middles_.push_back(mean(centre(rear_left, "the hubs"), centre(rear_right, "the hubs")));
    require_width(front_left, front_right, "hubs");
    require_width(rear_left, rear_right, "hubs");
    Traced line = middles_[0] - middles_[1];
    if (line.value.norm() < least_wheelbase_mm)
      throw Problem(
          ProblemKind::refused,
          "The front hubs are only " + format_fixed(line.value.norm(), 0) + " mm before the rear hubs.",
          "Name them in this order under [axes]: hubs = [front left, front right, rear left, rear "
          "right].");
    turn_sigma_rad_ = std::hypot(turn_sigma_rad_, recipe_.like_sigma_mm / line.value.norm());
    shift_sigma_mm_ = recipe_.like_sigma_mm / 2.0;  // of the mean of two middles, half way between the axles
    centre_plane_words_ = "lies half way between the hubs of both axles" + unlike_words();
    return line;
  }
  if (!recipe_.like_points.empty()) {
    Traced across{Vector3d::Zero(), MatrixXd::Zero(3, network_.inputs())};
    for (const auto& [left, right] : placed_like_points()) {
      const Traced left_point = centre(left, "the like points"),
                   right_point = centre(right, "the like points");
      require_width(left, right, "like points");
      middles_.push_back(mean(left_point, right_point));
      across = across + (left_point - right_point);
    }
    const double pairs = static_cast<double>(middles_.size());
    turn_sigma_rad_ =
        std::hypot(turn_sigma_rad_, recipe_.like_sigma_mm * std::sqrt(2.0 * pairs) / across.value.norm());
    shift_sigma_mm_ = recipe_.like_sigma_mm / std::sqrt(2.0 * pairs);
    centre_plane_words_ = "lies half way between like points on both sides of the body" + unlike_words();
    return cross(across, normal);
  }
  shift_sigma_mm_ = recipe_.half_track_sigma_mm;
  centre_plane_words_ = half_track_words();
  if (recipe_.forward_tag >= 0) {
    const TracedPose tag = network_.tag(recipe_.forward_tag, reference_, "the forward direction");
    const Vector3d length(500.0, 0.0, 0.0);
    return tag.turn({length, MatrixXd::Zero(3, network_.inputs())});
  }
  Traced line = forward_line();
  const double long_mm = (line.value - normal.value * normal.value.dot(line.value)).norm();
  if (long_mm < least_forward_line_mm)
    throw Problem(ProblemKind::refused,
                  "The ends of the forward line are only " + format_fixed(long_mm, 0) + " mm apart.",
                  "Set them 500 mm or more apart along the car.");
  return line;
}

// Turn of the axes: about x and y it follows the normal; about z it keeps y square to the line.
void VehicleAxes::take_lengthwise(const Traced& normal, const Traced& line) {
  const Vector3d z = normal.value;
  const Vector3d ahead = line.value - z * z.dot(line.value);
  constexpr double most_upward = 0.5;
  if (std::abs(z.dot(line.value)) > most_upward * line.value.norm())
    throw Problem(
        ProblemKind::refused, "The forward direction points up or down rather than along the floor.",
        "Lay the tags of the forward direction level: a line of two tags as high as each other, or a "
        "tag whose number reads from the rear to the front.");
  const Vector3d x = ahead.normalized(), y = z.cross(x);
  axes_from_network_ << x.transpose(), y.transpose(), z.transpose();
  turn_.resize(3, network_.inputs());
  turn_.row(0) = -y.transpose() * normal.by_inputs;
  turn_.row(1) = x.transpose() * normal.by_inputs;
  turn_.row(2) = (y.transpose() * line.by_inputs + turn_.row(0) * z.dot(line.value)) / ahead.norm();
  turn_(2, first_own_input_) += 1.0;
}

// So far the axes stand on the floor; the car's own follow the body. A lifted car of which nothing is said
// may be far from level: on stands in front and tyres behind it is nose up by degrees.
void VehicleAxes::take_level() {
  constexpr double lifted_mm = 20.0;
  if (!recipe_.level) {
    if (-recipe_.floor_height_mm > lifted_mm)
      notes_.push_back(
          "The car stands " + length_words(-recipe_.floor_height_mm, 0) +
          " higher than on its tyres, and the job does not say how level: taken to sit as it "
          "does on them. Was its front lifted more than its rear, caster and the best height are "
          "off; measure the sills and give nose_up under [axes].");
    return;
  }
  const Vector3d x = Vector3d::UnitX(), y = Vector3d::UnitY();
  const Matrix3d left_down = Eigen::AngleAxisd(-recipe_.level->left_up_rad, x).toRotationMatrix();
  const Matrix3d level = left_down * Eigen::AngleAxisd(recipe_.level->nose_up_rad, y).toRotationMatrix();
  axes_from_network_ = level * axes_from_network_;
  turn_ = level * turn_;
  turn_.col(first_own_input_ + 5) -= left_down * y;
  turn_.col(first_own_input_ + 6) += x;
}

Traced VehicleAxes::direction(const Traced& direction_network) const {
  const Vector3d value = axes_from_network_ * direction_network.value;
  return {value, axes_from_network_ * direction_network.by_inputs + cross_matrix(value) * turn_};
}

Traced VehicleAxes::over_floor(const Traced& point_network) const {
  return direction(point_network - floor_middle_);
}

RigidTransform VehicleAxes::vehicle_from_network() const {
  return {Eigen::Quaterniond(axes_from_network_),
          -(axes_from_network_ * floor_middle_.value) - origin_.value};
}

// Under the wheel: where the body is not level, its own z runs past the floor elsewhere.
void VehicleAxes::set_origin(const Traced& wheel_centre_network, double side) {
  const Traced wheel = over_floor(wheel_centre_network);
  origin_ = {Vector3d(wheel.value.x(), 0.0, -recipe_.floor_height_mm), MatrixXd::Zero(3, network_.inputs())};
  origin_.by_inputs.row(0) = wheel.by_inputs.row(0);
  if (recipe_.level) {
    const Traced out = wheel_centre_network - floor_middle_;
    origin_.value.z() += wheel.value.z() - floor_normal_.value.dot(out.value);
    origin_.by_inputs.row(2) = wheel.by_inputs.row(2) - floor_normal_.value.transpose() * out.by_inputs -
                               out.value.transpose() * floor_normal_.by_inputs;
  }
  if (middles_.empty()) {
    origin_.value.y() = wheel.value.y() - side * recipe_.half_track_mm;
    origin_.by_inputs.row(1) = wheel.by_inputs.row(1);
  } else {
    for (const Traced& middle : middles_) {
      const Traced in_axes = over_floor(middle);
      origin_.value.y() += in_axes.value.y() / static_cast<double>(middles_.size());
      origin_.by_inputs.row(1) += in_axes.by_inputs.row(1) / static_cast<double>(middles_.size());
    }
  }
  origin_.by_inputs(1, first_own_input_ + 1) += 1.0;
  origin_.by_inputs(2, first_own_input_ + 4) += 1.0;
}

Traced VehicleAxes::point(const Traced& point_network) const {
  return over_floor(point_network) - origin_;
}

}  // namespace pivotfix
