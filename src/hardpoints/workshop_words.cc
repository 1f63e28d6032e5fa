// SPDX-License-Identifier: Apache-2.0
#include "hardpoints/workshop_words.h"

#include <algorithm>
#include <sstream>
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

std::vector<std::string> single_words(std::string_view text) {
  std::string plain(text);
  for (char& c : plain) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    if (c == '-' || c == '_') c = ' ';
  }
  std::istringstream stream(plain);
  std::vector<std::string> words;
  for (std::string word; stream >> word;) words.push_back(word);
  return words;
}

bool has_all(const std::vector<std::string>& words, const std::vector<std::string>& wanted) {
  return std::all_of(wanted.begin(), wanted.end(), [&](const std::string& word) {
    return std::find(words.begin(), words.end(), word) != words.end();
  });
}

}  // namespace

std::string workshop_words(std::string_view hardpoint_name) {
  for (const auto& [name, words] : point_words)
    if (name == hardpoint_name) return words;
  std::string words(hardpoint_name);
  std::replace(words.begin(), words.end(), '_', ' ');
  return words;
}

std::vector<std::string> hardpoints_called(std::string_view typed, const std::vector<std::string>& names) {
  const std::vector<std::string> wanted = single_words(typed);
  std::vector<std::string> called;
  if (wanted.empty()) return called;
  for (const std::string& name : names) {
    if (single_words(name) == wanted) return {name};
    if (has_all(single_words(name), wanted) || has_all(single_words(workshop_words(name)), wanted))
      called.push_back(name);
  }
  return called;
}

}  // namespace pivotfix
