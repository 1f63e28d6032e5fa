// SPDX-License-Identifier: Apache-2.0
#include "advice/shares.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace pivotfix {
namespace {

constexpr const char* coordinate_words[] = {"place along the car", "place across the car", "height"};

constexpr std::pair<std::string_view, const char*> point_words[] = {
    {"lower_arm_front_pivot", "front pivot of the lower arm"},
    {"lower_arm_rear_pivot", "rear pivot of the lower arm"},
    {"lower_ball_joint", "lower ball joint"},
    {"upper_arm_front_pivot", "front pivot of the upper arm"},
    {"upper_arm_rear_pivot", "rear pivot of the upper arm"},
    {"upper_ball_joint", "upper ball joint"},
    {"strut_top_mount", "top mount of the strut"},
    {"strut_axis_low", "lower end of the strut's axis"},
    {"link_inner_joint", "inner joint of the steering link"},
    {"link_outer_joint", "rod end of the steering link"},
    {"wheel_centre", "wheel centre"},
    {"lower_front_link_inner_joint", "inner joint of the lower front link"},
    {"lower_front_link_outer_joint", "outer joint of the lower front link"},
    {"lower_rear_link_inner_joint", "inner joint of the lower rear link"},
    {"lower_rear_link_outer_joint", "outer joint of the lower rear link"},
    {"upper_front_link_inner_joint", "inner joint of the upper front link"},
    {"upper_front_link_outer_joint", "outer joint of the upper front link"},
    {"upper_rear_link_inner_joint", "inner joint of the upper rear link"},
    {"upper_rear_link_outer_joint", "outer joint of the upper rear link"},
};

}  // namespace

std::string workshop_words(std::string_view hardpoint_name) {
  for (const auto& [name, words] : point_words)
    if (name == hardpoint_name) return words;
  std::string words(hardpoint_name);
  std::replace(words.begin(), words.end(), '_', ' ');
  return words;
}

std::vector<HeightShare> height_shares(const Corner& corner, const BestHeight& best) {
  if (corner.covariance_mm2.size() == 0 || !(best.sigma_mm > 0.0)) return {};
  const Eigen::VectorXd common = corner.covariance_mm2 * best.by_coordinate;
  const double variance = best.by_coordinate.dot(common);
  std::vector<HeightShare> shares;
  for (Eigen::Index i = 0; i < common.size(); ++i) {
    HeightShare share;
    share.point = static_cast<std::size_t>(i / 3);
    share.coordinate = static_cast<int>(i % 3);
    share.words = std::string(coordinate_words[share.coordinate]) + " of the " +
                  workshop_words(corner.points[share.point].name);
    share.mm_per_mm = best.by_coordinate[i];
    share.sigma_mm = std::sqrt(std::max(0.0, corner.covariance_mm2(i, i)));
    share.share = best.by_coordinate[i] * common[i] / variance;
    shares.push_back(share);
  }
  std::stable_sort(shares.begin(), shares.end(),
                   [](const HeightShare& a, const HeightShare& b) { return a.share > b.share; });
  return shares;
}

}  // namespace pivotfix
