// SPDX-License-Identifier: Apache-2.0
// Two statements of one place that contradict each other: which is wrong does not show, so the truth must lie
// within what is stated whichever it is. Truth is a made-up corner moved by Simbody.
#include <gtest/gtest.h>

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>

#include "base/length_words.h"
#include "locate/heights_scene.h"
#include "locate/locate_hardpoints.h"

namespace pivotfix {
namespace {

using Eigen::Matrix3d;
using Eigen::Vector3d;

// Every joint of a strut corner from motion, its tube tagged, two sets with the steering turned. Three
// heights and a hub that is not turned keep it quick.
struct Doubted {
  HeightsScene scene = heights_scene({Layout::strut, true, 1, 1, false});
  HardpointQuestion question = with_tube(scene.question);
  Network network{};

  Doubted() {
    const auto is_more = [](const std::string& set) {
      return set.ends_with(" 20") || set.starts_with("ride/");
    };
    std::erase_if(scene.stands, [&](const Stand& stand) { return is_more(stand.set); });
    std::erase_if(question.heights, is_more);
    network = made_up_network(scene.corner, scene.stands, {0.01, 0.0003}, 1);
  }

  Vector3d truth_mm(const std::string& name) const { return scene.corner.truth.position_vehicle_mm(name); }
  HardpointRecipe& recipe(const std::string& name) {
    return *std::find_if(question.hardpoints.begin(), question.hardpoints.end(),
                         [&](const HardpointRecipe& one) { return one.name == name; });
  }
  // Where that tag would have the pivot, if its stand-off were right.
  Vector3d offset_mm(int number, const std::string& name) const {
    for (const CornerTag& tag : scene.corner.tags)
      if (tag.number == number) return tag.vehicle_from_tag_at_ride.inverse() * truth_mm(name);
    ADD_FAILURE() << "no tag " << number;
    return Vector3d::Zero();
  }
  // Moves a tag's centre on its part, in all sets; in the tag's own axes.
  void move_tag(int number, const Vector3d& move_tag_mm) {
    for (TagInSpace& tag : network.tags)
      if (tag.number == number)
        tag.network_from_tag.translation_mm += tag.network_from_tag.rotation * move_tag_mm;
  }
  Located located() const { return locate(network, question); }
};

Matrix3d spread_mm2(const HardpointSet& set, const std::string& a, const std::string& b) {
  return set.covariance_mm2.block<3, 3>(3 * static_cast<Eigen::Index>(set.index_of(a)),
                                        3 * static_cast<Eigen::Index>(set.index_of(b)));
}

// The miss in its own stated standard deviations.
double deviates(const Vector3d& miss_mm, const Matrix3d& covariance_mm2) {
  return std::sqrt(miss_mm.dot(covariance_mm2.ldlt().solve(miss_mm)));
}

// Of what is not along the line.
double deviates_across(const Vector3d& line, const Vector3d& miss_mm, const Matrix3d& covariance_mm2) {
  Eigen::Matrix<double, 2, 3> sides;
  sides << line.unitOrthogonal().transpose(), line.normalized().cross(line.unitOrthogonal()).transpose();
  const Eigen::Vector2d across_mm = sides * miss_mm;
  return std::sqrt(across_mm.dot((sides * covariance_mm2 * sides.transpose()).ldlt().solve(across_mm)));
}

double deviates(const Doubted& doubted, const HardpointSet& found, const std::string& name) {
  return deviates(found.position_vehicle_mm(name) - doubted.truth_mm(name), spread_mm2(found, name, name));
}

bool says(const Located& located, const std::string& words) {
  return std::any_of(located.notes.begin(), located.notes.end(), [&](const std::string& note) {
    return with_plain_spaces(note).find(words) != std::string::npos;
  });
}

TEST(Doubt, CoversAStandOffThatMotionContradicts) {
  for (const double wrong_mm : {1.0, -10.0}) {
    Doubted doubted;
    HardpointRecipe& recipe = doubted.recipe("link_inner_joint");
    recipe.way = TagOffset{52, doubted.offset_mm(52, recipe.name) + Vector3d(0, 0, wrong_mm), 0.2};
    recipe.motion = true;
    const Located located = doubted.located();
    const HardpointSet& found = located.hardpoints;
    EXPECT_TRUE(says(located, "link_inner_joint: its tag and its motion disagree by ")) << wrong_mm;
    EXPECT_LT(deviates(doubted, found, recipe.name), 2.0) << wrong_mm;
    for (int k = 0; k < 3; ++k)
      EXPECT_GT(sigma_mm(found, found.index_of(recipe.name), k), 0.3 * std::abs(wrong_mm)) << wrong_mm;
  }
}

// What one tells and the other leaves open is no contradiction.
TEST(Doubt, IsNoneInADirectionThatMotionLeavesOpen) {
  Doubted doubted;
  std::erase_if(doubted.scene.stands, [](const Stand& stand) { return stand.rack_mm != 0.0; });
  for (Stand& stand : doubted.scene.stands) stand.link_roll_rad = 0.0;
  for (const std::string name : {"strut_top_mount", "strut_axis_low"})  // they would need more heights
    doubted.recipe(name).way = ByHand{doubted.truth_mm(name), Vector3d::Ones()};
  doubted.network = made_up_network(doubted.scene.corner, doubted.scene.stands, {0.01, 0.0003}, 1);
  std::erase_if(doubted.question.heights, [](const std::string& set) { return set.starts_with("steered"); });
  HardpointRecipe& recipe = doubted.recipe("link_inner_joint");
  recipe.way = TagOffset{52, doubted.offset_mm(52, recipe.name), 0.2};
  recipe.motion = true;
  const Located located = doubted.located();
  EXPECT_FALSE(says(located, "disagree"));
  const HardpointSet& found = located.hardpoints;
  EXPECT_LT(deviates(doubted, found, recipe.name), 3.0);
  for (int k = 0; k < 3; ++k) EXPECT_LT(sigma_mm(found, found.index_of(recipe.name), k), 0.25);
}

// The strut's top on its nut against the axis of the tube: the top's stand-off is wrong, or the tube's, or
// the tube's lowest tag stands off it, which its two fellows show.
TEST(Doubt, CoversAStrutsTopBesideTheAxisOfItsTube) {
  for (const int wrong : {0, 1, 2}) {
    Doubted doubted;
    HardpointRecipe& top = doubted.recipe("strut_top_mount");
    const Vector3d top_wrong_mm = wrong == 0 ? Vector3d(4, 3, 0) : Vector3d(0, 0, 0);
    top.way = TagOffset{34, doubted.offset_mm(34, top.name) + top_wrong_mm, 0.2};
    if (wrong == 1) std::get<TagTube>(doubted.recipe("strut_axis_low").way).stand_off_mm += 5.0;
    if (wrong == 2) doubted.move_tag(first_tube_tag, {0.0, 0.0, 3.0});
    const Located located = doubted.located();
    const HardpointSet& found = located.hardpoints;
    const std::string low = "strut_axis_low";
    EXPECT_TRUE(says(located, wrong == 2
                                  ? "strut_axis_low: the tags along its tube do not lie on one line"
                                  : "strut_top_mount: its own place and the axis of the tube disagree by "))
        << wrong;
    // Three tags say little of their scatter.
    const double most = wrong == 2 ? 3.0 : 2.0;
    EXPECT_LT(deviates(doubted, found, top.name), most) << wrong;
    const Vector3d axis_mm = doubted.truth_mm(top.name) - doubted.truth_mm(low);
    const Vector3d low_miss_mm = found.position_vehicle_mm(low) - doubted.truth_mm(low);
    EXPECT_LT(deviates_across(axis_mm, low_miss_mm, spread_mm2(found, low, low)), most) << wrong;
    const Matrix3d axis_spread_mm2 = spread_mm2(found, top.name, top.name) + spread_mm2(found, low, low) -
                                     spread_mm2(found, top.name, low) - spread_mm2(found, low, top.name);
    const Vector3d found_axis_mm = found.position_vehicle_mm(top.name) - found.position_vehicle_mm(low);
    EXPECT_LT(deviates_across(axis_mm, found_axis_mm, axis_spread_mm2), most) << wrong;
  }
}

// A ring of four with one tag 5 mm too far out: its middle is off by 2.5, and with it the origin and so every
// pivot's place lengthwise.
TEST(Doubt, CoversARingWithATagOffItsCircle) {
  Doubted doubted;
  const Vector3d middle_mm =
      doubted.truth_mm("wheel_centre") + hub_face_mm * doubted.scene.corner.spin_axis();
  for (const CornerTag& tag : doubted.scene.corner.tags)
    if (tag.number == 56) {
      const Vector3d outwards = (tag.vehicle_from_tag_at_ride.translation_mm - middle_mm).normalized();
      doubted.move_tag(56, 5.0 * (tag.vehicle_from_tag_at_ride.rotation.conjugate() * outwards));
    }
  const Located located = doubted.located();
  EXPECT_TRUE(
      says(located, "wheel_centre: the tags of its ring do not lie on one circle; that leaves it open by"));
  EXPECT_LT(deviates(doubted, located.hardpoints, "link_outer_joint"), 2.5);
}

// Where on a hinge its pivot was put is arbitrary: a tape to it says nothing, and must not bend the arm.
TEST(Doubt, LeavesOutATapeToAPivotOfWhichMotionTellsALine) {
  Doubted doubted;
  const HardpointSet without = doubted.located().hardpoints;
  const Vector3d rear_mm = doubted.truth_mm("lower_arm_rear_pivot");
  const Vector3d further_back_mm = rear_mm + 0.3 * (rear_mm - doubted.truth_mm("lower_arm_front_pivot"));
  const double true_mm = (further_back_mm - doubted.truth_mm("lower_ball_joint")).norm();
  for (const bool turned_round : {false, true}) {
    doubted.question.distances = {{"lower_arm_rear_pivot", "lower_ball_joint", true_mm, 1.0}};
    if (turned_round) std::swap(doubted.question.distances[0].from, doubted.question.distances[0].to);
    const Located located = doubted.located();
    EXPECT_TRUE(says(located, "motion tells a line for lower_arm_rear_pivot")) << turned_round;
    for (const std::string name : {"lower_ball_joint", "lower_arm_front_pivot", "lower_arm_rear_pivot"})
      EXPECT_LT((located.hardpoints.position_vehicle_mm(name) - without.position_vehicle_mm(name)).norm(),
                1e-9)
          << name;
  }
}

// Either the tape was misread, or one of the places that it joins is wrong.
TEST(Doubt, CoversATapeThatContradictsThePlacesItJoins) {
  for (const bool tape_is_wrong : {true, false})
    for (const double wrong_mm : {5.0, -20.0}) {
      Doubted doubted;
      const double true_mm =
          (doubted.truth_mm("link_outer_joint") - doubted.truth_mm("link_inner_joint")).norm();
      const Vector3d place_wrong_mm(0.0, tape_is_wrong ? 0.0 : wrong_mm, 0.0);
      doubted.recipe("link_outer_joint").way =
          ByHand{doubted.truth_mm("link_outer_joint") + place_wrong_mm, Vector3d::Constant(0.25)};
      doubted.question.distances = {
          {"link_inner_joint", "link_outer_joint", true_mm + (tape_is_wrong ? wrong_mm : 0.0), 0.5}};
      const Located located = doubted.located();
      EXPECT_TRUE(says(located, "more apart than both allow, so the tape is left out"));
      for (const std::string name : {"link_outer_joint", "link_inner_joint"})
        EXPECT_LT(deviates(doubted, located.hardpoints, name), 2.0) << name << " " << wrong_mm;
    }
}

// A tape is judged by all that is known of its ends: here motion knows what the tag does not.
TEST(Doubt, JudgesATapeByAllThatIsKnownOfItsEnds) {
  Doubted doubted;
  HardpointRecipe& recipe = doubted.recipe("link_inner_joint");
  recipe.way = TagOffset{52, doubted.offset_mm(52, recipe.name) + Vector3d(0, 0, 4), 10.0};
  recipe.motion = true;
  const double true_mm = (doubted.truth_mm("link_outer_joint") - doubted.truth_mm("link_inner_joint")).norm();
  doubted.question.distances = {{"link_inner_joint", "link_outer_joint", true_mm, 0.5}};
  EXPECT_FALSE(says(doubted.located(), "the tape is left out"));
  doubted.question.distances[0].length_mm += 8.0;
  EXPECT_TRUE(says(doubted.located(), "the tape is left out"));
}

}  // namespace
}  // namespace pivotfix
