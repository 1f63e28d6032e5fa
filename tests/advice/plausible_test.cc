// SPDX-License-Identifier: Apache-2.0
// Corners that can move but hardly belong to a car.
#include "advice/plausible.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "base/length_words.h"
#include "corner/example_corners.h"

namespace pivotfix {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;

Eigen::Vector3d& at(Corner& corner, const std::string& name) {
  for (Hardpoint& point : corner.points)
    if (point.name == name) return point.position_vehicle_mm;
  throw std::out_of_range(name);
}

TEST(Plausible, UsualCornersAreNotDoubted) {
  EXPECT_THAT(implausible(make_corner(strut_set())), ElementsAre());
  EXPECT_THAT(implausible(make_corner(double_wishbone_set())), ElementsAre());
  EXPECT_THAT(implausible(make_corner(strut_two_links_set())), ElementsAre());
  EXPECT_THAT(implausible(make_corner(five_link_set())), ElementsAre());
}

struct Case {
  const char* name;
  const char* point;
  Eigen::Vector3d move_mm;
  const char* sentence;
};

class Implausible : public testing::TestWithParam<Case> {};

TEST_P(Implausible, IsSaidInASentence) {
  Corner corner = make_corner(strut_set());
  at(corner, GetParam().point) += GetParam().move_mm;
  std::vector<std::string> sentences;
  for (const std::string& sentence : implausible(corner)) sentences.push_back(with_plain_spaces(sentence));
  EXPECT_THAT(sentences, testing::Contains(HasSubstr(GetParam().sentence)));
}

INSTANTIATE_TEST_SUITE_P(
    ByPoint, Implausible,
    testing::Values(
        Case{"HalfTrack", "wheel_centre", {0, 600, 0}, "from the car's middle; usual are 400 mm to 1100 mm"},
        Case{"WheelHeight", "wheel_centre", {0, 0, 400}, "above the ground; usual are 150 mm to 550 mm"},
        Case{"BallJointAboveWheel",
             "lower_ball_joint",
             {0, 0, 250},
             "above the wheel centre: is up taken for down?"},
        Case{"SteepArm", "lower_ball_joint", {0, 0, -180}, "The lower arm rises outwards by -"},
        Case{"SteepLink", "link_inner_joint", {0, 0, 250}, "The steering link rises outwards by -"},
        Case{"LongLink", "link_inner_joint", {0, -500, 0}, "The steering link is "},
        Case{"ShortArm", "lower_ball_joint", {0, -250, 0}, "The lower arm is "},
        Case{"Caster", "strut_top_mount", {-300, 0, 0}, "The caster is "},
        Case{"Inclination", "strut_top_mount", {0, -400, 0}, "The steering axis leans inboard by "},
        Case{"SteeringArm", "link_outer_joint", {-250, 0, 0}, "The outer link joint is "}),
    [](const testing::TestParamInfo<Case>& one) { return std::string(one.param.name); });

}  // namespace
}  // namespace pivotfix
