// SPDX-License-Identifier: Apache-2.0
// A made-up pointer to be rendered: a stick with four tags.
#pragma once

#include <vector>

#include "render/photo_renderer.h"

namespace pivotfix::bench {

// The stick's own frame has its tip in the origin and its shaft along z; four tags on a cross at its far end.
std::vector<render::PaperTag> stick(const std::vector<int>& numbers, const RigidTransform& world_from_stick);

// Faces the photographer (+y of the world), leaning sideways and to and fro.
RigidTransform leaning(const Eigen::Vector3d& tip_mm, double sideways_rad, double to_and_fro_rad);

}  // namespace pivotfix::bench
