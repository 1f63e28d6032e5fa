// SPDX-License-Identifier: Apache-2.0
// The good set that faults are seeded into, and how photos are taken of it.
#pragma once

#include "faults/seeded_faults.h"
#include "hardpoints/hardpoint_set.h"

namespace pivotfix::faults {

inline constexpr int photo_count = 20;

// Tags by number: floor, line ahead, two strips, one before each pivot.
inline constexpr int first_pivot_tag = 5;

Scene good_scene();
HardpointSet true_hardpoints();

// Renders what must be rendered and looks for tags.
void take_photos(Scene& scene);

// Of all photos that can be read, in order. Throws Problem(input) for a broken one unless they are skipped.
NetworkInput input_of(const Scene& scene, bool skip_broken);

}  // namespace pivotfix::faults
