// SPDX-License-Identifier: Apache-2.0
// Lines of sight to the centres of tags, as the photos stand now. Private to the network stage.
#pragma once

#include <Eigen/Core>
#include <optional>
#include <vector>

#include "network/network_builder.h"

namespace pivotfix {

struct Ray {
  int photo = 0;
  Eigen::Vector3d eye_mm, direction;  // in the network; unit direction
  double focal_px = 1.0;
};

Ray ray_to_centre(const StartedBundle& started, std::size_t observation);

// How far the point lies off the line of sight, in the picture; infinite behind the camera.
double miss_px(const Ray& ray, const Eigen::Vector3d& point_mm);

// Where rays come closest to each other (least squares of distances); empty when they do not meet within
// `most_miss_px` in the picture, or run nearly parallel.
std::optional<Eigen::Vector3d> meeting_point(const std::vector<Ray>& rays, double most_miss_px);

}  // namespace pivotfix
