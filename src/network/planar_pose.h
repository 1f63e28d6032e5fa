// SPDX-License-Identifier: Apache-2.0
// Pose of one tag from its four corners: both of the two poses that a small planar target allows.
// Private to the network stage.
#pragma once

#include <Eigen/Core>
#include <array>
#include <optional>

#include "base/rigid_transform.h"

namespace pivotfix {

// `direction` holds (x, y) with viewing direction (x, y, 1) per corner, `corner_tag_mm` the same corners on
// the tag (z = 0). Better of the two first. Empty when the corners are degenerate or lie behind the camera.
struct PlanarPoses {
  std::array<RigidTransform, 2> camera_from_tag{};
};
std::optional<PlanarPoses> planar_poses(const std::array<Eigen::Vector2d, 4>& direction,
                                        const std::array<Eigen::Vector3d, 4>& corner_tag_mm);

}  // namespace pivotfix
