// SPDX-License-Identifier: Apache-2.0
// What the tags on the hub tell of the wheel, few or out of true as they are. Simbody moves the parts.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "base/length_words.h"
#include "base/units.h"
#include "locate/locate_hardpoints.h"
#include "locate/moving_corner.h"

namespace pivotfix {
namespace {

using Eigen::Vector3d;

const MovingCorner& strut() {
  static const MovingCorner corner = moving_corner(Layout::strut);
  return corner;
}

// All pivots by hand, so that only the wheel hangs on tags: four on the hub in a ring.
HardpointQuestion question_of(const std::vector<Stand>& stands) {
  const HardpointSet& truth = strut().truth;
  HardpointQuestion question;
  question.side = truth.side;
  question.layout = truth.layout;
  question.axes = {{0, 1, 2, 3, 4, 5}, 0.0, 6, 7, 0.0, truth.position_vehicle_mm("wheel_centre").y()};
  question.bodies = strut().bodies;
  question.reference_height = "ride";
  for (const Stand& stand : stands) question.heights.push_back(stand.set);
  for (const std::string& name : hardpoint_names(truth.layout)) {
    HardpointRecipe recipe;
    recipe.name = name;
    recipe.way = ByHand{truth.position_vehicle_mm(name), Vector3d::Ones()};
    question.hardpoints.push_back(recipe);
  }
  question.hardpoints.back().way = TagRing{{56, 57, 58, 59}, hub_face_mm, 0.0};
  return question;
}

void leave_out(const std::string& body, HardpointQuestion& question) {
  std::erase_if(question.bodies, [&](const Body& one) { return one.name == body; });
}

// The hub rolled by so much at each height.
std::vector<Stand> rolled(const std::vector<double>& hub_turns_rad) {
  std::vector<Stand> stands = five_heights();
  for (std::size_t i = 0; i < stands.size(); ++i) stands[i].hub_turn_rad = hub_turns_rad[i];
  return stands;
}

// One of the hub's tags stands proud of the others' plane.
Network with_proud_tag(const std::vector<Stand>& stands, double proud_mm) {
  Network network = made_up_network(strut(), stands, {0.01, 0.0003}, 1);
  for (TagInSpace& tag : network.tags)
    if (tag.number == 56)
      tag.network_from_tag.translation_mm += tag.network_from_tag.rotation * Vector3d(0.0, 0.0, proud_mm);
  return network;
}

double true_toe_rad(const Stand& stand) {
  const Vector3d spin = strut().poses(stand).at("knuckle").rotation * strut().spin_axis();
  return std::atan2(spin.x(), spin.y());
}

// Toe changes against ride height, in their own stated standard deviations; the largest.
double worst_deviate(const Located& located, const std::vector<Stand>& stands) {
  double worst = 0.0;
  for (const WheelReading& reading : located.wheel)
    for (const Stand& stand : stands) {
      if (stand.set != reading.height || reading.height == "ride") continue;
      const double change_rad = reading.toe_rad - located.wheel.front().toe_rad;
      const double true_rad = true_toe_rad(stand) - true_toe_rad(stands.front());
      worst = std::max(worst, std::abs(change_rad - true_rad) / reading.toe_change_sigma_rad);
    }
  return worst;
}

bool says(const Located& located, const std::string& words) {
  return std::any_of(located.notes.begin(), located.notes.end(), [&](const std::string& note) {
    return with_plain_spaces(note).find(words) != std::string::npos;
  });
}

// Rolled too little for the spin axis, enough for a tag that is 0.6 mm proud to pass for steering.
TEST(Hub, TellsToeChangesWhereItRolledBetweenHeightsAndTheKnuckleHasTags) {
  const std::vector<Stand> stands = rolled({0.0, 0.3, -0.2, 0.25, -0.3});
  const Located located = locate(with_proud_tag(stands, 0.6), question_of(stands));
  ASSERT_EQ(located.wheel.size(), 5u);
  EXPECT_FALSE(located.wheel.front().from_spin_axis);
  EXPECT_LT(worst_deviate(located, stands), 3.0);
  for (const WheelReading& reading : located.wheel)
    EXPECT_LT(reading.toe_change_sigma_rad, 0.02 * rad_per_deg) << reading.height;
}

TEST(Hub, LeavesOutAHeightWhereItRolledAndTheKnuckleHasNoTags) {
  const std::vector<Stand> stands = rolled({0.0, 0.0, 1.0, 0.0, -0.5});
  HardpointQuestion question = question_of(stands);
  leave_out("knuckle", question);
  const Located located = locate(with_proud_tag(stands, 0.6), question);
  ASSERT_EQ(located.wheel.size(), 3u);
  EXPECT_LT(worst_deviate(located, stands), 3.0);
  EXPECT_TRUE(says(located, "No toe from \"up 40\": the hub had rolled by 57 degrees"));
  EXPECT_TRUE(says(located, "No toe from \"down 40\": the hub had rolled by 28 degrees"));
}

// Within what is accepted: the runout that a small roll turns into toe is in the toe's uncertainty.
TEST(Hub, StatesTheRunoutThatASmallRollLetsPassForToe) {
  constexpr double roll_rad = 4.0 * rad_per_deg;
  const std::vector<Stand> stands = rolled({0.0, roll_rad, -roll_rad, roll_rad, -roll_rad});
  HardpointQuestion question = question_of(stands);
  leave_out("knuckle", question);
  const Located located = locate(with_proud_tag(stands, 0.6), question);
  ASSERT_EQ(located.wheel.size(), 5u);
  EXPECT_LT(worst_deviate(located, stands), 3.0);
  for (const WheelReading& reading : located.wheel)
    if (reading.height != "ride") {
      EXPECT_GT(reading.toe_change_sigma_rad, 0.012 * rad_per_deg) << reading.height;
    }
}

// Of a hub that was not turned, what its tags are out of true is in the camber, and so in its uncertainty.
TEST(Hub, GivesTheCamberOfTheReferenceHeightForAJobThatDoesNotStateIt) {
  const std::vector<Stand> stands = rolled({0.0, 0.0, 0.0, 0.0, 0.0});
  const HardpointQuestion question = question_of(stands);
  const Located located = locate(with_proud_tag(stands, 0.2), question);
  const std::optional<Uncertain> camber_rad = camber_at_reference(located, question);
  ASSERT_TRUE(camber_rad);
  EXPECT_LT(std::abs(camber_rad->value - strut().truth.wheel.camber_rad), 3.0 * camber_rad->sigma);
  EXPECT_GE(camber_rad->sigma, 0.2 * rad_per_deg);
  HardpointQuestion elsewhere = question;
  elsewhere.reference_height = "never";
  EXPECT_FALSE(camber_at_reference(located, elsewhere));
}

// The pivots do not need the hub's plane.
TEST(Hub, WithTwoTagsGivesNoToeAndRefusesNothing) {
  const std::vector<Stand> stands = rolled({0.0, 0.0, 0.0, 0.0, 0.0});
  for (const bool knuckle : {true, false}) {
    HardpointQuestion question = question_of(stands);
    if (!knuckle) leave_out("knuckle", question);
    for (Body& body : question.bodies)
      if (body.name == "hub") body.tags = {56, 57};
    question.hardpoints.back().way = TagPair{56, 58, 0.5, 20.0};
    const Located located = locate(made_up_network(strut(), stands, {0.01, 0.0003}, 1), question);
    EXPECT_TRUE(located.wheel.empty());
    EXPECT_TRUE(says(located, "No toe or camber from the photos: three tags on the hub make its plane"));
  }
}

TEST(Hub, ThatIsNotSeenAtRideHeightGivesNoToeAndRefusesNothing) {
  const std::vector<Stand> stands = five_heights();
  HardpointQuestion question = question_of(stands);
  question.hardpoints.back().way = TagOffset{40, {10, -20, -30}, 20.0};  // on the knuckle
  Network network = made_up_network(strut(), stands, {0.01, 0.0003}, 1);
  std::erase_if(network.tags, [](const TagInSpace& tag) { return tag.set == "ride/"; });
  const auto width = static_cast<Eigen::Index>(6 * network.tags.size());
  network.tag_covariance = 1e-4 * Eigen::MatrixXd::Identity(width, width);
  EXPECT_TRUE(locate(network, question).wheel.empty());
}

}  // namespace
}  // namespace pivotfix
