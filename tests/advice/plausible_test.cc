// SPDX-License-Identifier: Apache-2.0
// Corners that can move but hardly belong to a car.
#include "advice/plausible.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "advice/advice.h"
#include "base/length_words.h"
#include "base/units.h"
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

// Moved by up to 20 mm in each coordinate they are still cars, of both steering layouts.
TEST(Plausible, StrutsOfUsualCarsAreNotDoubted) {
  for (const Layout layout : {Layout::strut, Layout::strut_two_links})
    for (unsigned seed = 1; seed <= 200; ++seed)
      for (const std::string& sentence : implausible(make_corner(random_plausible_set(layout, seed))))
        EXPECT_THAT(sentence, testing::Not(HasSubstr("The strut leans"))) << seed;
}

TEST(Plausible, SpacersInAnotherUnitAreDoubted) {
  RodEnd rod_end;
  rod_end.between_now = {{3.048, 1, ""}};
  rod_end.stock = {{1.524, 2, ""}, {0.508, 1, ""}, {12.7, 1, ""}};
  EXPECT_THAT(implausible(rod_end), ElementsAre());
  rod_end.stock.push_back({0.06, 2, ""});  // inches, typed as millimetres
  rod_end.high_misalignment = HighMisalignmentSpacers{80.0, 0.0, true, ""};
  EXPECT_THAT(implausible(rod_end), ElementsAre(HasSubstr("0.06"), HasSubstr("80.00")));
  const Advice advice = advise({strut_set(), rod_end, {}, {}});
  EXPECT_THAT(advice.warnings, testing::Contains(HasSubstr("is its unit right?")));
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
        Case{"WheelHeight",
             "wheel_centre",
             {0, 0, 400},
             "above the ground; usual are 150 mm to 550 mm: check floor_height and its sign, the floor tags "
             "and the hub's stand-off."},
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

// One slip in a typed set at a time, angles by hand from the example's coordinates.
struct Slip {
  const char* name;
  Layout layout;
  const char* point;
  Eigen::Vector3d move_mm;
  const char* sentence;
};

class SlipInOnePoint : public testing::TestWithParam<Slip> {};

TEST_P(SlipInOnePoint, IsSaidInASentence) {
  HardpointSet set = example_set(GetParam().layout);
  set.points[set.index_of(GetParam().point)].position_vehicle_mm += GetParam().move_mm;
  std::string all;
  for (const std::string& sentence : implausible(make_corner(set))) all += with_plain_spaces(sentence) + "\n";
  EXPECT_THAT(all, HasSubstr(GetParam().sentence));
}

INSTANTIATE_TEST_SUITE_P(
    ByPoint, SlipInOnePoint,
    testing::Values(
        Slip{
            "ArmAxisInSideView",
            Layout::strut,
            "lower_arm_rear_pivot",
            {0, 0, -130},
            "The axis of the lower arm rises forwards by 22.0 degrees; usual are -20 to 20: check the height "
            "of its pivots."},
        Slip{"UpperArmsAxis",
             Layout::double_wishbone,
             "upper_arm_front_pivot",
             {0, 0, -100},
             "The axis of the upper arm rises forwards by -21.8 degrees"},
        Slip{"ArmAxisInPlan",
             Layout::double_wishbone,
             "upper_arm_front_pivot",
             {-100, -300, 0},
             "The axis of the upper arm runs outwards to the front by -66.3 degrees"},
        Slip{"PivotsTooNear",
             Layout::strut,
             "lower_arm_front_pivot",
             {-215, 0, 0},
             "The pivots of the lower arm are 92 mm apart; usual are 100 mm to 700 mm: check both."},
        Slip{"ShortUpperArm",
             Layout::double_wishbone,
             "upper_ball_joint",
             {0, -150, 0},
             "The upper arm is 74 mm long; usual are 80 mm to 600 mm"},
        Slip{"LinkInPlan",
             Layout::strut,
             "link_inner_joint",
             {256, 0, 0},
             "The steering link runs forwards to its outer end by -39.6 degrees; usual are -25 to 25: check "
             "the "
             "x of its joints."},
        Slip{"LinkAgainstArm",
             Layout::strut,
             "link_inner_joint",
             {0, 150, 0},
             "The steering link is 168 mm long, the lower arm 357 mm; usual are 179 mm to 607 mm"},
        Slip{"BallJointOutsideTheWheel",
             Layout::strut,
             "lower_ball_joint",
             {0, 80, 0},
             "The lower arm's outer joint is -47 mm inboard of the wheel centre; usual are -30 mm to 220 mm: "
             "check the y of both."},
        Slip{"StrutInFrontView",
             Layout::strut,
             "strut_axis_low",
             {0, -150, 0},
             "The strut leans inboard by -10.9 degrees; usual are -2 to 28: check strut_axis_low (is its tag "
             "on "
             "the strut?) and the top mount."},
        Slip{"StrutInSideView",
             Layout::strut_two_links,
             "strut_axis_low",
             {-200, 0, 0},
             "The strut leans rearwards by -21.6 degrees; usual are -8 to 20"},
        Slip{"SteepLinkOfAPair",
             Layout::five_link,
             "upper_rear_link_inner_joint",
             {0, 0, -150},
             "The upper rear link rises outwards by "},
        Slip{"LinksOuterJointsApart",
             Layout::strut_two_links,
             "lower_rear_link_outer_joint",
             {0, 0, 100},
             "Of the outer joints of the lower front link and the lower rear link one is 104 mm higher than "
             "the "
             "other; usual are up to 80 mm: check their heights."}),
    [](const testing::TestParamInfo<Slip>& one) { return std::string(one.param.name); });

TEST(Settings, OfWheelAndStudAreDoubtedWhereTheUnitOrTheSignIsWrong) {
  HardpointSet set = strut_set();
  set.wheel = {rad_from_deg(5.0), rad_from_deg(12.0), 16.0};
  set.rod_end = RodEnd{};
  set.rod_end->stud_axis_vehicle = Eigen::Vector3d(0.0, -1.0, 1.0).normalized();
  std::vector<std::string> sentences;
  for (const std::string& sentence : implausible(make_corner(set)))
    sentences.push_back(with_plain_spaces(sentence));
  EXPECT_THAT(
      sentences,
      ElementsAre(
          "Toe at ride height is given as 5.0 degrees; usual are -2 to 2: is it in degrees, of one wheel?",
          "Camber at ride height is given as 12.0 degrees; usual are -8 to 4: is it in degrees, and its "
          "sign right?",
          "The rim's diameter is given as 16 mm; usual are 200 mm to 700 mm: toe in millimetres hangs on "
          "it; is its unit right?",
          "The rod end's stud leans by 45.0 degrees; usual are 0 to 25: check its direction."));
}

}  // namespace
}  // namespace pivotfix
