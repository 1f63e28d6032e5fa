// SPDX-License-Identifier: Apache-2.0
#include "bench/pointer_scene.h"

#include <Eigen/Geometry>
#include <array>
#include <cmath>

namespace pivotfix::bench {

using Eigen::Quaterniond;
using Eigen::Vector3d;

std::vector<render::PaperTag> stick(const std::vector<int>& numbers, const RigidTransform& world_from_stick) {
  std::vector<render::PaperTag> tags;
  const std::array<Vector3d, 4> place_mm{Vector3d(-35, 0, 180), {35, 0, 180}, {-35, 0, 260}, {35, 0, 260}};
  // Faces look along -y of the stick: right is x, up is z.
  const Quaterniond face(Eigen::AngleAxisd(M_PI / 2.0, Vector3d::UnitX()));
  for (std::size_t i = 0; i < place_mm.size(); ++i)
    tags.push_back({numbers[i], world_from_stick * RigidTransform{face, place_mm[i]}, 40.0});
  return tags;
}

RigidTransform leaning(const Vector3d& tip_mm, double sideways_rad, double to_and_fro_rad) {
  const Quaterniond facing(Eigen::AngleAxisd(M_PI, Vector3d::UnitZ()));
  return {Quaterniond(Eigen::AngleAxisd(sideways_rad, Vector3d::UnitY())) *
              Quaterniond(Eigen::AngleAxisd(to_and_fro_rad, Vector3d::UnitX())) * facing,
          tip_mm};
}

}  // namespace pivotfix::bench
