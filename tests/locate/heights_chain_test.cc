// SPDX-License-Identifier: Apache-2.0
// Photos at five heights, from edges in the pictures to pivots in the car's axes: simulated edges, Simbody's
// motion, the program's own adjustment. tests/bench/heights_bench does the same with rendered photographs.
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdio>
#include <map>

#include "base/length_words.h"
#include "locate/heights_errors.h"
#include "network/simulated_photos.h"

namespace pivotfix {
namespace {

Network photographed(HeightsScene& scene, unsigned seed) {
  std::mt19937 random(seed);
  scene.input.printed_side_mm = simulation::side_mm;
  const simulation::Truth lens;
  for (std::size_t i = 0; i < scene.views.size(); ++i) {
    const PlannedView& view = scene.views[i];
    const auto& tags = scene.tags[view.stand];
    std::vector<RigidTransform> places;
    for (const TagAt& tag : tags) places.push_back(tag.vehicle_from_tag);
    PhotoSightings seen = simulation::photo_of(
        lens, simulation::look_at(lens, view.place_vehicle_mm, view.aim_vehicle_mm, view.roll_rad), places,
        {}, 0.4, random);
    PhotoSightings photo = named_photo(scene, i, seen.camera);
    photo.sightings = seen.sightings;
    for (Sighting& sighting : photo.sightings)
      sighting.tag_number = tags[static_cast<std::size_t>(sighting.tag_number)].number;
    scene.input.photos.push_back(photo);
  }
  return adjust_network(scene.input);
}

void print(const HeightsError& error) {
  std::printf("| %s | %.4f | %.2f | %s | %.2f |\n", error.quantity.c_str(), error.error, error.bar,
              error.unit.c_str(), error.freedom > 0 ? error.squares / error.freedom : 0.0);
}

void expect_within_bars(Layout layout) {
  HeightsScene scene = heights_scene({layout, true, 6, 1});
  const Network network = photographed(scene, 1);
  const HardpointQuestion question = layout == Layout::strut ? with_tube(scene.question) : scene.question;
  for (const HeightsError& error : heights_errors(scene, locate(network, question))) {
    print(error);
    EXPECT_LT(error.error, error.bar) << error.quantity;
  }
}

TEST(Heights, GiveEveryJointOfAStrutCornerWithTwoSteeredSets) {
  expect_within_bars(Layout::strut);
}

TEST(Heights, GiveEveryJointOfADoubleWishboneCornerWithTwoSteeredSets) {
  expect_within_bars(Layout::double_wishbone);
}

// Without steering the ball joint is open along the arm's axis; that is said, with what to do about it.
TEST(Heights, SayThatTheSteeringMustBeTurnedForTheBallJoint) {
  HeightsScene scene = heights_scene({Layout::strut, false, 6, 1});
  const Located located =
      locate(made_up_network(scene.corner, five_heights(), {0.01, 0.0003}, 1), with_tube(scene.question));
  const auto note = std::find_if(located.notes.begin(), located.notes.end(), [](const std::string& text) {
    return text.starts_with("lower_ball_joint: the motion leaves it open by ");
  });
  ASSERT_NE(note, located.notes.end());
  EXPECT_NE(with_plain_spaces(*note).find(
                " mm, mostly lengthwise. Take one more set with the steering turned towards a lock "
                "(steered = true); or give it a tag as well."),
            std::string::npos)
      << *note;
}

// Tags along the tube tell the strut's axis, turned steering too; what then stays open is told by neither.
TEST(Heights, AskForATagWhereNoMotionTellsHowHighTheStrutsMountSits) {
  for (const bool steered : {false, true}) {
    HeightsScene scene = heights_scene({Layout::strut, steered, 6, 1});
    const Located located =
        locate(made_up_network(scene.corner, steered ? scene.stands : five_heights(), {0.05, 0.0015}, 1),
               with_tube(scene.question));
    const auto note = std::find_if(located.notes.begin(), located.notes.end(), [](const std::string& text) {
      return text.starts_with("strut_top_mount: the motion leaves it open by ");
    });
    ASSERT_NE(note, located.notes.end());
    EXPECT_TRUE(
        note->ends_with("Give it a tag as well, on the strut's top nut: how high it sits hardly shows in the "
                        "motion."))
        << *note;
  }
}

// A sticker good to a millimetre settles what motion leaves open, and motion settles the rest.
TEST(Heights, NeedNoSteeringWhereAStickerTellsTheOpenDirection) {
  HeightsScene scene = heights_scene({Layout::strut, false, 6, 1});
  const Network network = made_up_network(scene.corner, five_heights(), {0.005, 0.00015}, 1);
  HardpointQuestion question = with_tube(scene.question);
  HardpointRecipe& recipe = question.hardpoints[2];
  ASSERT_EQ(recipe.name, "lower_ball_joint");
  const Eigen::Vector3d joint_mm = scene.corner.truth.position_vehicle_mm(recipe.name);
  for (const CornerTag& tag : scene.corner.tags)
    if (tag.number == 40) recipe.way = TagOffset{40, tag.vehicle_from_tag_at_ride.inverse() * joint_mm, 1.0};
  const Located alone = locate(network, question);
  recipe.motion = true;
  const Located both = locate(network, question);
  EXPECT_LT(sigma_mm(both.hardpoints, 2, 0), 1.01);
  for (const int across : {1, 2})
    EXPECT_LT(sigma_mm(both.hardpoints, 2, across), 0.2 * sigma_mm(alone.hardpoints, 2, across)) << across;
  for (const std::string& note : both.notes) EXPECT_EQ(note.find("disagree"), std::string::npos) << note;
}

// Errors over their stated uncertainties, over many networks with noise: one on average when the statement is
// right. Three heights and two steered sets keep it quick.
TEST(Heights, StateTheirUncertainties) {
  constexpr unsigned runs = 20;
  std::map<std::string, std::pair<double, int>> tallies;
  double squares = 0.0;
  int freedom = 0;
  for (const Layout layout : {Layout::strut, Layout::double_wishbone}) {
    HeightsScene scene = heights_scene({layout, true, 1, 1, false});
    std::erase_if(scene.stands, [](const Stand& stand) { return stand.set.ends_with(" 20"); });
    std::erase_if(scene.question.heights, [](const std::string& set) { return set.ends_with(" 20"); });
    for (unsigned seed = 1; seed <= runs; ++seed) {
      const Network network = made_up_network(scene.corner, scene.stands, {0.01, 0.0003}, seed);
      for (const HeightsError& error : heights_errors(scene, locate(network, scene.question))) {
        if (error.freedom == 0) continue;
        auto& [sum, count] = tallies[std::string(name_of(layout)) + ", " + error.quantity];
        sum += error.squares;
        count += error.freedom;
        squares += error.squares;
        freedom += error.freedom;
      }
    }
  }
  for (const auto& [quantity, tally] : tallies) {
    const double mean = tally.first / tally.second;
    std::printf("| %s | %.2f |\n", quantity.c_str(), mean);
    EXPECT_GT(mean, 0.5) << quantity;
    EXPECT_LT(mean, 1.7) << quantity;
  }
  EXPECT_GT(squares / freedom, 0.8);
  EXPECT_LT(squares / freedom, 1.25);
}

}  // namespace
}  // namespace pivotfix
