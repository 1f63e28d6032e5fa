// SPDX-License-Identifier: Apache-2.0
// Linear propagation (JCGM 100:2008, 5.2) of the tags' joint covariance: every pivot's place in the network
// and the vehicle axes are functions of the same tags, so the derivatives are carried together as rows over
// all inputs: six per tag, three per hardpoint for its own stand-off, one for the forward line.
#include "hardpoints/locate_hardpoints.h"

#include <Eigen/Eigenvalues>
#include <Eigen/Geometry>
#include <cmath>

#include "base/problem.h"
#include "base/units.h"

namespace pivotfix {

namespace {

using Eigen::Matrix3d;
using Eigen::MatrixXd;
using Eigen::Vector3d;

constexpr double floor_unevenness_limit_mm = 10.0;
constexpr double least_floor_width_mm = 100.0;

Matrix3d cross_matrix(const Vector3d& v) {
  Matrix3d m;
  m << 0, -v.z(), v.y(), v.z(), 0, -v.x(), -v.y(), v.x(), 0;
  return m;
}

// A vector and its derivatives with respect to all inputs.
struct Traced {
  Vector3d value = Vector3d::Zero();
  MatrixXd by_inputs{};  // 3 x inputs
};

Traced operator-(const Traced& a, const Traced& b) {
  return {a.value - b.value, a.by_inputs - b.by_inputs};
}

class Locator {
 public:
  Locator(const Network& network, const HardpointQuestion& question)
      : network_(network),
        question_(question),
        tag_inputs_(6 * static_cast<Eigen::Index>(network.tags.size())),
        inputs_(tag_inputs_ + 3 * static_cast<Eigen::Index>(question.hardpoints.size()) + 1) {}

  TracedHardpoints locate();

 private:
  int tag_index(int number, const std::string& needed_for) const;
  Traced tag_point(int number, const Vector3d& offset_tag_mm, const std::string& needed_for) const;
  Traced pivot_in_network(std::size_t index) const;
  void find_axes();
  Traced floor_normal(const std::vector<Traced>& floor, const Vector3d& middle) const;
  Traced in_axes(const Traced& point_network) const;
  MatrixXd input_covariance() const;
  void check_sides(const HardpointSet& set) const;

  const Network& network_;
  const HardpointQuestion& question_;
  Eigen::Index tag_inputs_, inputs_;
  Matrix3d axes_from_network_ = Matrix3d::Identity();  // rows: x, y, z of the vehicle
  MatrixXd axes_turn_;  // 3 x inputs: small turn of the axes, as a vector in vehicle axes
  Traced floor_middle_;
};

int Locator::tag_index(int number, const std::string& needed_for) const {
  const int index = network_.index_of_tag(number);
  if (index >= 0) return index;
  throw Problem(
      ProblemKind::refused,
      "Tag " + std::to_string(number) + ", needed for " + needed_for +
          ", is not in two photos that fit together with the others.",
      "Take two more photos that show it together with other tags, or correct its number in the job file.");
}

Traced Locator::tag_point(int number, const Vector3d& offset_tag_mm, const std::string& needed_for) const {
  const int index = tag_index(number, needed_for);
  const RigidTransform& network_from_tag = network_.tags[index].network_from_tag;
  const Vector3d arm = network_from_tag.rotation * offset_tag_mm;
  Traced point{network_from_tag.translation_mm + arm, MatrixXd::Zero(3, inputs_)};
  point.by_inputs.block<3, 3>(0, 6 * index) = Matrix3d::Identity();
  point.by_inputs.block<3, 3>(0, 6 * index + 3) = -cross_matrix(arm);
  return point;
}

Traced Locator::pivot_in_network(std::size_t index) const {
  const HardpointRecipe& recipe = question_.hardpoints[index];
  Traced pivot;
  if (const auto* offset = std::get_if<TagOffset>(&recipe.way)) {
    pivot = tag_point(offset->tag, offset->offset_tag_mm, recipe.name);
  } else {
    const auto& pair = std::get<TagPair>(recipe.way);
    const Traced first = tag_point(pair.first_tag, Vector3d::Zero(), recipe.name);
    const Traced second = tag_point(pair.second_tag, Vector3d::Zero(), recipe.name);
    pivot.value = (1.0 - pair.fraction) * first.value + pair.fraction * second.value;
    pivot.by_inputs = (1.0 - pair.fraction) * first.by_inputs + pair.fraction * second.by_inputs;
  }
  pivot.by_inputs.block<3, 3>(0, tag_inputs_ + 3 * static_cast<Eigen::Index>(index)) += Matrix3d::Identity();
  return pivot;
}

// Least-squares plane. When a floor point moves by d, the normal turns against the share of d along it
// (first order, flat floor).
Traced Locator::floor_normal(const std::vector<Traced>& floor, const Vector3d& middle) const {
  Matrix3d scatter = Matrix3d::Zero();
  for (const Traced& point : floor) scatter += (point.value - middle) * (point.value - middle).transpose();
  const Eigen::SelfAdjointEigenSolver<Matrix3d> shape(scatter);
  const double narrow_mm = std::sqrt(shape.eigenvalues()[1] / static_cast<double>(floor.size()));
  if (narrow_mm < least_floor_width_mm)
    throw Problem(ProblemKind::refused,
                  "The floor tags lie almost in one line (" + format_fixed(narrow_mm, 0) + " mm wide; " +
                      format_fixed(least_floor_width_mm, 0) + " mm are needed).",
                  "Spread three or more floor tags over the ground around the wheel.");
  Traced normal{shape.eigenvectors().col(0), MatrixXd::Zero(3, inputs_)};
  const Vector3d up =
      network_.tags[tag_index(question_.axes.floor_tags.front(), "the floor")].network_from_tag.rotation *
      Vector3d::UnitZ();
  if (normal.value.dot(up) < 0.0) normal.value = -normal.value;
  for (std::size_t i = 0; i < floor.size(); ++i) {
    const Vector3d out = floor[i].value - middle;
    if (std::abs(out.dot(normal.value)) > floor_unevenness_limit_mm)
      throw Problem(ProblemKind::refused,
                    "Floor tag " + std::to_string(question_.axes.floor_tags[i]) + " is " +
                        format_fixed(std::abs(out.dot(normal.value)), 1) +
                        " mm off the plane of the floor tags.",
                    "Lay it flat on the ground, or take it out of `floor` in the job file.");
    for (int k = 1; k < 3; ++k) {
      const Vector3d in_plane = shape.eigenvectors().col(k);
      normal.by_inputs -= in_plane * (out.dot(in_plane) / shape.eigenvalues()[k]) *
                          (normal.value.transpose() * floor[i].by_inputs);
    }
  }
  return normal;
}

void Locator::find_axes() {
  const AxesRecipe& recipe = question_.axes;
  if (recipe.floor_tags.size() < 3)
    throw Problem(
        ProblemKind::refused,
        "The job names " + std::to_string(recipe.floor_tags.size()) + " floor tags; a plane needs three.",
        "Add their numbers to `floor` under [axes].");
  std::vector<Traced> floor;
  floor_middle_ = {Vector3d::Zero(), MatrixXd::Zero(3, inputs_)};
  for (const int number : recipe.floor_tags) {
    floor.push_back(tag_point(number, Vector3d::Zero(), "the floor"));
    floor_middle_.value += floor.back().value / static_cast<double>(recipe.floor_tags.size());
    floor_middle_.by_inputs += floor.back().by_inputs / static_cast<double>(recipe.floor_tags.size());
  }
  const Traced normal = floor_normal(floor, floor_middle_.value);
  const Traced line = tag_point(recipe.forward_to, Vector3d::Zero(), "the forward direction") -
                      tag_point(recipe.forward_from, Vector3d::Zero(), "the forward direction");
  const Vector3d z = normal.value;
  const Vector3d ahead = line.value - z * z.dot(line.value);
  if (ahead.norm() < least_floor_width_mm)
    throw Problem(ProblemKind::refused,
                  "The two tags of the forward line are only " + format_fixed(ahead.norm(), 0) + " mm apart.",
                  "Set them 500 mm or more apart along the car.");
  const Vector3d x = ahead.normalized(), y = z.cross(x);
  axes_from_network_ << x.transpose(), y.transpose(), z.transpose();
  // Turn of the axes: about x and y it follows the normal; about z it keeps y square to the line.
  axes_turn_.resize(3, inputs_);
  axes_turn_.row(0) = -y.transpose() * normal.by_inputs;
  axes_turn_.row(1) = x.transpose() * normal.by_inputs;
  axes_turn_.row(2) = (y.transpose() * line.by_inputs + axes_turn_.row(0) * z.dot(line.value)) / ahead.norm();
  axes_turn_(2, inputs_ - 1) += 1.0;
}

// Coordinates over the middle of the floor tags.
Traced Locator::in_axes(const Traced& point_network) const {
  const Traced out = point_network - floor_middle_;
  Traced result;
  result.value = axes_from_network_ * out.value;
  result.by_inputs = axes_from_network_ * out.by_inputs + cross_matrix(result.value) * axes_turn_;
  return result;
}

MatrixXd Locator::input_covariance() const {
  MatrixXd covariance = MatrixXd::Zero(inputs_, inputs_);
  covariance.topLeftCorner(tag_inputs_, tag_inputs_) = network_.tag_covariance;
  for (std::size_t i = 0; i < question_.hardpoints.size(); ++i) {
    const double sigma_mm =
        std::visit([](const auto& way) { return way.sigma_mm; }, question_.hardpoints[i].way);
    for (int k = 0; k < 3; ++k) {
      const Eigen::Index at = tag_inputs_ + 3 * static_cast<Eigen::Index>(i) + k;
      covariance(at, at) = sigma_mm * sigma_mm;
    }
  }
  covariance(inputs_ - 1, inputs_ - 1) = question_.axes.forward_sigma_rad * question_.axes.forward_sigma_rad;
  return covariance;
}

std::string in_words(const Way& way) {
  if (const auto* offset = std::get_if<TagOffset>(&way)) {
    const Vector3d& o = offset->offset_tag_mm;
    const std::string tag = "tag " + std::to_string(offset->tag);
    if (o.x() == 0.0 && o.y() == 0.0)
      return tag + ", " + format_fixed(std::abs(o.z()), 2) + " mm " + (o.z() <= 0.0 ? "behind" : "before") +
             " its face";
    return tag + ", offset " + format_fixed(o.x(), 2) + ", " + format_fixed(o.y(), 2) + ", " +
           format_fixed(o.z(), 2) + " mm in its axes";
  }
  if (const auto* pair = std::get_if<TagPair>(&way))
    return "tags " + std::to_string(pair->first_tag) + " and " + std::to_string(pair->second_tag) + ", at " +
           format_fixed(pair->fraction, 3) + " of the way";
  return "measured by hand";
}

// A forward line the wrong way round or the wrong side of the car puts the wheel inboard of the rack.
void Locator::check_sides(const HardpointSet& set) const {
  const double sign = question_.side == Side::left ? 1.0 : -1.0;
  const double outboard_mm =
      sign * (set.position_vehicle_mm("wheel_centre") - set.position_vehicle_mm("link_inner_joint")).y();
  if (outboard_mm > 0.0) return;
  throw Problem(
      ProblemKind::refused,
      "The wheel comes out " + format_fixed(-outboard_mm, 0) + " mm inboard of the inner link joint.",
      "Check `side`, the order of the two `forward` tags (rear one first), and that link_inner_joint and "
      "wheel_centre have their own tags.");
}

TracedHardpoints Locator::locate() {
  find_axes();
  const double half_track_mm = (question_.side == Side::left ? 1.0 : -1.0) * question_.axes.half_track_mm;
  std::vector<Traced> pivots;
  const Traced* wheel = nullptr;
  pivots.reserve(question_.hardpoints.size());
  for (std::size_t i = 0; i < question_.hardpoints.size(); ++i) {
    if (std::holds_alternative<ByHand>(question_.hardpoints[i].way)) {
      pivots.push_back({});
      continue;
    }
    pivots.push_back(in_axes(pivot_in_network(i)));
    if (question_.hardpoints[i].name == "wheel_centre") wheel = &pivots.back();
  }
  if (!wheel)
    throw Problem(ProblemKind::refused, "wheel_centre has no tag, and the vehicle axes start from it.",
                  "Give [hardpoint.wheel_centre] a tag on the hub.");
  const Vector3d wheel_mm = wheel->value;
  const MatrixXd wheel_by_inputs = wheel->by_inputs;
  const auto count = static_cast<Eigen::Index>(pivots.size());
  MatrixXd by_inputs = MatrixXd::Zero(3 * count, inputs_);
  const Vector3d origin_mm(wheel_mm.x(), wheel_mm.y() - half_track_mm, -question_.axes.floor_height_mm);
  HardpointSet set;
  set.side = question_.side;
  set.layout = question_.layout;
  for (Eigen::Index i = 0; i < count; ++i) {
    const HardpointRecipe& recipe = question_.hardpoints[i];
    Hardpoint point{recipe.name, Vector3d::Zero(), in_words(recipe.way)};
    if (const auto* hand = std::get_if<ByHand>(&recipe.way)) {
      point.position_vehicle_mm = hand->position_vehicle_mm;
      by_inputs.block<3, 3>(3 * i, tag_inputs_ + 3 * i) = Matrix3d::Identity();
    } else {
      point.position_vehicle_mm = pivots[i].value - origin_mm;
      by_inputs.middleRows<3>(3 * i) = pivots[i].by_inputs;
      by_inputs.middleRows<2>(3 * i) -= wheel_by_inputs.topRows<2>();
    }
    set.points.push_back(point);
  }
  set.covariance_mm2 = by_inputs * input_covariance() * by_inputs.transpose();
  set.covariance_mm2 = 0.5 * (set.covariance_mm2 + set.covariance_mm2.transpose()).eval();
  check_sides(set);
  const RigidTransform vehicle_from_network{Eigen::Quaterniond(axes_from_network_),
                                            -(axes_from_network_ * floor_middle_.value) - origin_mm};
  return {std::move(set), by_inputs.leftCols(tag_inputs_), vehicle_from_network};
}

}  // namespace

HardpointSet locate_hardpoints(const Network& network, const HardpointQuestion& question) {
  return locate_hardpoints_traced(network, question).set;
}

TracedHardpoints locate_hardpoints_traced(const Network& network, const HardpointQuestion& question) {
  return Locator(network, question).locate();
}

}  // namespace pivotfix
