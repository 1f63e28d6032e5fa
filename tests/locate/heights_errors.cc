// SPDX-License-Identifier: Apache-2.0
#include "locate/heights_errors.h"

#include <Eigen/Cholesky>
#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <limits>

#include "base/keep_larger.h"
#include "base/units.h"

namespace pivotfix {

namespace {

using Eigen::Index;
using Eigen::Matrix3d;
using Eigen::MatrixXd;
using Eigen::Vector3d;
using Eigen::VectorXd;

constexpr double joint_bar_mm = 0.15, line_bar_mm = 0.2, arm_bar_deg = 0.03, strut_bar_deg = 0.05,
                 wheel_bar_deg = 0.01;

double square_of(const VectorXd& miss, const MatrixXd& covariance) {
  return miss.dot(covariance.ldlt().solve(miss));
}

// Two directions across a line, as rows.
Eigen::Matrix<double, 2, 3> across(const Vector3d& line) {
  const Vector3d first = line.unitOrthogonal();
  Eigen::Matrix<double, 2, 3> rows;
  rows << first.transpose(), line.normalized().cross(first).transpose();
  return rows;
}

class Comparison {
 public:
  Comparison(const HeightsScene& scene, const Located& located)
      : scene_(scene), found_(located.hardpoints), located_(located) {}

  HeightsError joint(const std::string& name) const {
    const Vector3d miss = miss_mm(name);
    return {in_words(name), miss.norm(), joint_bar_mm, "mm", square_of(miss, block(name, name)), 3};
  }

  // Both pivots of an arm may lie anywhere on its axis.
  std::vector<HeightsError> hinge(const std::string& arm) const {
    const std::string front = arm + "_front_pivot", rear = arm + "_rear_pivot";
    const Vector3d line = truth_mm(front) - truth_mm(rear);
    const auto sides = across(line);
    Eigen::Vector4d miss;
    miss << sides * miss_mm(front), sides * miss_mm(rear);
    Eigen::Matrix4d covariance;
    covariance << sides * block(front, front) * sides.transpose(),
        sides * block(front, rear) * sides.transpose(), sides * block(rear, front) * sides.transpose(),
        sides * block(rear, rear) * sides.transpose();
    double off_mm = miss.head<2>().norm();
    keep_larger(off_mm, miss.tail<2>().norm());
    const double aslant_deg = angle_deg(line, found_mm(front) - found_mm(rear));
    return {{in_words(arm) + " axis, off", off_mm, line_bar_mm, "mm", square_of(miss, covariance), 4},
            {in_words(arm) + " axis, aslant", aslant_deg, arm_bar_deg, "deg", 0.0, 0}};
  }

  HeightsError strut_axis() const {
    const std::string top = "strut_top_mount", low = "strut_axis_low";
    const Vector3d found = found_mm(top) - found_mm(low), line = truth_mm(top) - truth_mm(low);
    const Matrix3d spread = block(top, top) + block(low, low) - block(top, low) - block(low, top);
    const auto sides = across(line);
    return {"strut axis, aslant",
            angle_deg(line, found),
            strut_bar_deg,
            "deg",
            square_of(sides * found, sides * spread * sides.transpose()),
            2};
  }

  std::vector<HeightsError> wheel() const {
    HeightsError toe{"toe at every height", 0.0, wheel_bar_deg, "deg", 0.0, 0};
    HeightsError camber = toe;
    camber.quantity = "camber at every height";
    const auto add = [](HeightsError& error, double miss_rad, double sigma_rad) {
      keep_larger(error.error, std::abs(deg_from_rad(miss_rad)));
      error.squares += std::pow(miss_rad / sigma_rad, 2);
      ++error.freedom;
    };
    for (const WheelReading& reading : located_.wheel)
      for (const Stand& stand : scene_.stands) {
        if (stand.set != reading.height) continue;
        const Vector3d spin = scene_.corner.poses(stand).at("knuckle").rotation * scene_.corner.spin_axis();
        add(toe, reading.toe_rad - std::atan2(spin.x(), spin.y()), reading.toe_sigma_rad);
        add(camber, reading.camber_rad + std::asin(spin.z()), reading.camber_sigma_rad);
      }
    for (HeightsError* error : {&toe, &camber})  // nothing was read: that is no small error
      if (error->freedom == 0) error->error = std::numeric_limits<double>::infinity();
    return {toe, camber};
  }

  bool has(const std::string& name) const {
    return std::any_of(found_.points.begin(), found_.points.end(),
                       [&](const Hardpoint& point) { return point.name == name; });
  }

 private:
  static std::string in_words(std::string name) {
    std::replace(name.begin(), name.end(), '_', ' ');
    return name;
  }
  static double angle_deg(const Vector3d& a, const Vector3d& b) {
    return deg_from_rad(std::asin(a.normalized().cross(b.normalized()).norm()));
  }
  Vector3d found_mm(const std::string& name) const { return found_.position_vehicle_mm(name); }
  Vector3d truth_mm(const std::string& name) const { return scene_.corner.truth.position_vehicle_mm(name); }
  Vector3d miss_mm(const std::string& name) const { return found_mm(name) - truth_mm(name); }
  Matrix3d block(const std::string& a, const std::string& b) const {
    return found_.covariance_mm2.block<3, 3>(3 * static_cast<Index>(found_.index_of(a)),
                                             3 * static_cast<Index>(found_.index_of(b)));
  }

  const HeightsScene& scene_;
  const HardpointSet& found_;
  const Located& located_;
};

}  // namespace

std::vector<HeightsError> heights_errors(const HeightsScene& scene, const Located& located) {
  const Comparison comparison(scene, located);
  std::vector<HeightsError> all;
  for (const char* joint : {"lower_ball_joint", "upper_ball_joint", "link_outer_joint", "link_inner_joint"})
    if (comparison.has(joint)) all.push_back(comparison.joint(joint));
  for (const char* arm : {"lower_arm", "upper_arm"})
    if (comparison.has(std::string(arm) + "_front_pivot"))
      for (const HeightsError& error : comparison.hinge(arm)) all.push_back(error);
  if (comparison.has("strut_top_mount")) all.push_back(comparison.strut_axis());
  for (const HeightsError& error : comparison.wheel()) all.push_back(error);
  return all;
}

}  // namespace pivotfix
