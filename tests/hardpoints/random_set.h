// SPDX-License-Identifier: Apache-2.0
// A hardpoint set at random places, to be written, read and mirrored.
#pragma once

#include <random>
#include <string>

#include "base/units.h"
#include "hardpoints/hardpoint_set.h"

namespace pivotfix {

inline HardpointSet random_set(Layout layout, unsigned seed) {
  std::mt19937 random(seed);
  std::normal_distribution<double> normal(0.0, 1.0);
  HardpointSet set;
  set.title = "invented \"car\", ümlaut";
  set.side = Side::right;
  set.layout = layout;
  for (const std::string& name : hardpoint_names(layout))
    set.points.push_back(
        {name, 300.0 * Eigen::Vector3d{normal(random), normal(random), normal(random)}, "way"});
  const Eigen::Index n = static_cast<Eigen::Index>(3 * set.points.size());
  Eigen::MatrixXd root(n, n);
  for (double& element : root.reshaped()) element = 0.1 * normal(random);
  set.covariance_mm2 = root * root.transpose();
  set.covariance_mm2.triangularView<Eigen::StrictlyUpper>() = set.covariance_mm2.transpose();
  set.wheel = {rad_from_deg(0.12), rad_from_deg(-1.3), 431.8, true, true};
  set.rod_end = RodEnd{Eigen::Vector3d(0.1, -0.2, 0.97).normalized(),
                       RodEndMount::above_arm,
                       {{2.54, 1, "0.1 in"}},
                       {{2.54, 4, "0.1 in"}, {1.0, 2, "shim"}}};
  set.driving = Driving{"", {45.0, 55.0}, {}};
  set.program_version = "pivotfix 0.1.0";
  return set;
}

}  // namespace pivotfix
