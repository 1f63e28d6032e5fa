// SPDX-License-Identifier: Apache-2.0
// What the sample's scene was made from, as its generator wrote it.
#pragma once

#include <Eigen/Core>
#include <array>
#include <map>
#include <string>
#include <vector>

namespace pivotfix {

struct TrueToeCurve {
  std::vector<double> travel_mm{};
  std::vector<double> toe_change_deg{};
};

struct SampleTruth {
  std::map<std::string, Eigen::Vector3d> hardpoints_vehicle_mm{};
  std::map<int, Eigen::Vector3d> tag_centres_vehicle_mm{};
  TrueToeCurve now{};
  double best_rod_end_height_mm = 0.0;
};

// Throws std::runtime_error when the file is missing or not as expected.
SampleTruth read_sample_truth(const std::string& file);

}  // namespace pivotfix
