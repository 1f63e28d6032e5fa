// SPDX-License-Identifier: Apache-2.0
// Which tag number is meant for what. `pivotfix print` prints these numbers, and the job file that
// `pivotfix new` writes names them, so that nobody has to invent a numbering.
#pragma once

#include <array>

namespace pivotfix::tag_plan {

inline constexpr std::array floor_tags{0, 1, 2, 3, 4, 5};  // flat on the floor round the wheel
inline constexpr std::array forward{6, 7};                 // on the floor, along the car's length

inline constexpr std::array lower_arm_front_pivot{10, 11};  // on both ends of the bolt
inline constexpr std::array lower_arm_rear_pivot{12, 13};
inline constexpr int lower_ball_joint = 14;
inline constexpr int link_inner_joint = 15;
inline constexpr int link_outer_joint = 16;
inline constexpr int wheel_centre = 17;
inline constexpr int strut_top_mount = 18;
inline constexpr std::array strut_axis_low{19, 20};         // on opposite sides of the strut's tube
inline constexpr std::array upper_arm_front_pivot{21, 22};  // on both ends of the bolt
inline constexpr std::array upper_arm_rear_pivot{23, 24};
inline constexpr int upper_ball_joint = 25;
// Separate links use the arms' tags, and these for their second outer joints.
inline constexpr int lower_rear_link_outer_joint = 26;
inline constexpr int upper_rear_link_outer_joint = 27;

inline constexpr std::array spare{30, 31, 32, 33, 34, 35};  // anywhere: they tie the photos together

// Spread over parts that move, where photos are taken at several heights of the wheel. Separate links share
// an arm's tags.
inline constexpr std::array on_knuckle{40, 41, 42, 43};
inline constexpr std::array on_lower_arm{44, 45, 46, 47};
inline constexpr std::array on_upper_arm{48, 49, 50, 51};
inline constexpr std::array on_link{52, 53, 54};
inline constexpr std::array on_hub{56, 57, 58, 59};
inline constexpr std::array on_strut_tube{64, 65, 66};  // the lowest first
inline constexpr std::array on_lower_front_link{44, 45, 46};
inline constexpr std::array on_lower_rear_link{47, 67, 68};
inline constexpr std::array on_upper_front_link{48, 49, 50};
inline constexpr std::array on_upper_rear_link{51, 55, 69};

inline constexpr std::array first_strip{60, 61};
inline constexpr std::array second_strip{62, 63};

inline constexpr std::array pointer{70, 71, 72, 73, 74, 75};  // three on each face of the stick

inline constexpr double side_mm = 40.0;
inline constexpr double strip_centre_distance_mm = 200.0;  // the most that both A4 and US Letter hold

}  // namespace pivotfix::tag_plan
