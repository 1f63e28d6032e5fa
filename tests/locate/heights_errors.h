// SPDX-License-Identifier: Apache-2.0
// What `locate` made of a photographed corner, against the truth of the scene.
#pragma once

#include <string>
#include <vector>

#include "locate/heights_scene.h"

namespace pivotfix {

struct HeightsError {
  std::string quantity{};
  double error = 0.0;  // largest, mm or degrees
  double bar = 0.0;
  std::string unit{};
  double squares = 0.0;  // of the errors over their stated variances, summed over `freedom` components
  int freedom = 0;
};

// Joints (where they are), lines (how far off and how much aslant), toe and camber at every height.
std::vector<HeightsError> heights_errors(const HeightsScene& scene, const Located& located);

}  // namespace pivotfix
