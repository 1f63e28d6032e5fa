// SPDX-License-Identifier: Apache-2.0
// A made-up strut corner with three floor tags, two on a line ahead, and a tag 25 mm before each pivot.
#pragma once

#include <vector>

#include "locate/locate_hardpoints.h"
#include "network/simulated_photos.h"

namespace pivotfix::simulation {

// The world's axes are the vehicle's, moved sideways so that the simulated photos look at the corner.
inline constexpr double sideways_mm = 650.0;

inline RigidTransform facing(const Vector3d& vehicle_mm, const Vector3d& normal) {
  return {Eigen::Quaterniond::FromTwoVectors(Vector3d::UnitZ(), normal.normalized()),
          vehicle_mm - Vector3d(0, sideways_mm, 0)};
}

struct CornerOfTags {
  simulation::Truth truth{};
  HardpointQuestion question{};               // exact
  std::vector<Vector3d> pivots_vehicle_mm{};  // in the order of hardpoint_names
};

inline CornerOfTags made_up_corner() {
  CornerOfTags corner;
  auto& tags = corner.truth.world_from_tag;
  const auto lying = [](double x_mm, double y_mm) { return facing({x_mm, y_mm, 0}, Vector3d::UnitZ()); };
  tags = {lying(250, 780), lying(-250, 800), lying(0, 560), lying(-280, 880), lying(280, 880)};
  const auto& names = hardpoint_names(Layout::strut);
  const std::vector<Vector3d> pivots{{120, 390, 210}, {-180, 380, 215}, {5, 700, 190},    {-30, 580, 810},
                                     {-10, 640, 450}, {-130, 330, 260}, {-135, 690, 240}, {0, 742, 300}};
  corner.pivots_vehicle_mm = pivots;
  corner.question.axes = {{0, 1, 2}, 0.0, 3, 4, 0.0, 742.0};
  for (std::size_t i = 0; i < names.size(); ++i) {
    const Vector3d normal = Vector3d(0.2 * static_cast<double>(i) - 0.7, 1.0, 0.3).normalized();
    corner.question.hardpoints.push_back(
        {names[i], TagOffset{static_cast<int>(tags.size()), {0, 0, -25.0}, 0.0}});
    tags.push_back(facing(pivots[i] + 25.0 * normal, normal));
  }
  return corner;
}

}  // namespace pivotfix::simulation
