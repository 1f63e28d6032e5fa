// SPDX-License-Identifier: Apache-2.0
// Where to stand for the next photos: places round the corner, ranked by how much a photo from there would
// shrink the uncertainty of the answer, and named in words that one can walk to. Where no photo would, what
// was measured by hand and would, measured better.
#pragma once

#include <Eigen/Core>
#include <string>
#include <vector>

#include "advice/advice.h"
#include "locate/locate_hardpoints.h"
#include "network/network.h"
#include "network/planned_photo.h"

namespace pivotfix {

struct Shot {
  Eigen::Vector3d place_vehicle_mm = Eigen::Vector3d::Zero();
  Eigen::Vector3d aim_vehicle_mm = Eigen::Vector3d::Zero();
  bool upright = false;         // the phone's long side upright
  int tags = 0;                 // that it should show
  double sigma_mm = 0.0;        // the plan's, once this photo and those before it in the list are taken
  double photo_sigma_mm = 0.0;  // the photos' part of it then
  std::string words{};          // "low, ahead of the wheel, phone upright, 0.8 m from the rod end"
};

// What the user measured or stated, at a pivot or of the axes, and what it brings into the plan's
// uncertainty.
struct MeasuredByHand {
  std::string words{};  // "the stand-off of the lower ball joint", "how level the floor tags lie"
  std::string way{};    // as the hardpoint's: "tag 12, 48.00 mm behind its face"
  int tag = -1;         // that the pivot hangs on, where it is one alone
  double sigma_mm = 0.0;
  bool within_photos = false;  // of the scale strips: the network has it in, no further photo makes it less
};

struct ShotPlan {
  std::string wanted{};         // what gets better: "the best height of the rod end"
  double sigma_mm = 0.0;        // as things stand
  double photo_sigma_mm = 0.0;  // what of it comes from photos and strips; the rest was stated by hand
  std::vector<MeasuredByHand> by_hand{};  // that matter, largest first
  std::vector<Shot> shots{};  // best first, each on top of those before it; empty when none would help
  RigidTransform vehicle_from_network{};
  std::string set{};                // that the shots join, where there are several
  std::vector<std::string> weak{};  // the weakest hardpoint and why, tags in too few photos
};

struct ShotQuestion {
  const Network& network;
  const Located& located;
  const Advice* advice = nullptr;  // null when none was possible: the weakest hardpoint is wanted instead
  EdgeQuality edges{};
  int most_shots = 3;
  std::string set{};  // that the photos would join; what stands elsewhere in other sets is not seen
};

// Candidates stand outside the car from near the floor to shoulder height, at two distances, all round the
// wheel's outer side, with the phone upright or on its side. A tag counts as seen when it faces the camera,
// lies in the picture, is large enough, and was seen before from a direction not far off: what hides it
// otherwise is not known.
ShotPlan plan_shots(const ShotQuestion& question);

// "low, ahead of the wheel, phone upright, 0.8 m from the rod end"; `outboard` is +1 on the left side.
std::string shot_words(const Shot& shot, const Eigen::Vector3d& wheel_centre_vehicle_mm,
                       const Eigen::Vector3d& rod_end_vehicle_mm, double outboard);

}  // namespace pivotfix
