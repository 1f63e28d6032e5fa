// SPDX-License-Identifier: Apache-2.0
#include "hardpoints/workshop_words.h"

#include <algorithm>
#include <utility>

namespace pivotfix {
namespace {

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

}  // namespace pivotfix
