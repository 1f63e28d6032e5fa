// SPDX-License-Identifier: Apache-2.0
// A whole corner from tags and from the motion of its parts, in the car's axes. Simbody moves the parts.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>

#include "base/problem.h"
#include "base/units.h"
#include "locate/locate_hardpoints.h"
#include "locate/moving_corner.h"
#include "locate/refusals.h"

namespace pivotfix {
namespace {

using Eigen::Vector3d;

const MovingCorner& strut() {
  static const MovingCorner corner = moving_corner(Layout::strut);
  return corner;
}

std::vector<std::string> heights_of(const std::vector<Stand>& stands) {
  std::vector<std::string> heights;
  for (const Stand& stand : stands)
    if (stand.set.find('/') == std::string::npos) heights.push_back(stand.set);
  return heights;
}

// Everything by motion, but for the wheel centre on a ring of the hub's tags.
HardpointQuestion by_motion(const MovingCorner& corner, const std::vector<Stand>& stands) {
  HardpointQuestion question;
  question.side = corner.truth.side;
  question.layout = corner.truth.layout;
  question.axes = {{0, 1, 2, 3, 4, 5}, 0.0, 6, 7, 0.0, corner.truth.position_vehicle_mm("wheel_centre").y()};
  question.bodies = corner.bodies;
  question.reference_height = "ride";
  question.heights = heights_of(stands);
  question.steered_heights = {"steered left", "steered right"};
  for (const std::string& name : hardpoint_names(corner.truth.layout))
    question.hardpoints.push_back({name, ByMotion{}});
  question.hardpoints.back().way = TagRing{{56, 57, 58, 59}, hub_face_mm, 0.0};
  return question;
}

// Noisy motion over these heights leaves the strut's top open; it does not matter to the other joints.
void put_strut_by_hand(HardpointQuestion& question) {
  for (HardpointRecipe& recipe : question.hardpoints)
    if (recipe.name.starts_with("strut_"))
      recipe.way = ByHand{strut().truth.position_vehicle_mm(recipe.name), Vector3d::Ones()};
}

Vector3d miss_mm(const HardpointSet& found, const HardpointSet& truth, const std::string& name) {
  return found.position_vehicle_mm(name) - truth.position_vehicle_mm(name);
}

TEST(LocateMoving, FindsEveryPivotOfAnExactCornerFromMotionAlone) {
  const auto stands = five_heights();
  const Network network = made_up_network(strut(), stands, {}, 1);
  const HardpointSet found = locate(network, by_motion(strut(), stands)).hardpoints;
  const HardpointSet& truth = strut().truth;
  for (const char* name : {"lower_ball_joint", "link_outer_joint", "link_inner_joint"})
    EXPECT_LT(miss_mm(found, truth, name).norm(), 2e-2) << name;
  // On lines, only the line matters.
  const Vector3d hinge =
      (truth.position_vehicle_mm("lower_arm_front_pivot") - truth.position_vehicle_mm("lower_arm_rear_pivot"))
          .normalized();
  for (const char* name : {"lower_arm_front_pivot", "lower_arm_rear_pivot"})
    EXPECT_LT(hinge.cross(miss_mm(found, truth, name)).norm(), 2e-2) << name;
  for (const Hardpoint& point : found.points)
    EXPECT_EQ(point.on_line_only, point.name.starts_with("lower_arm_") || point.name == "strut_axis_low")
        << point.name;
}

// Two links in an arm's place each have their joints.
TEST(LocateMoving, FindsTheJointsOfEveryLinkOfACornerWithoutArms) {
  for (const Layout layout : {Layout::strut_two_links, Layout::five_link}) {
    const MovingCorner corner = moving_corner(layout);
    const auto stands = five_heights_and_steered();
    const Network network = made_up_network(corner, stands, {}, 1);
    const HardpointSet found = locate(network, by_motion(corner, stands)).hardpoints;
    for (const Hardpoint& point : corner.truth.points)
      if (point.name.ends_with("_joint")) {
        EXPECT_LT(miss_mm(found, corner.truth, point.name).norm(), 2e-2)
            << name_of(layout) << " " << point.name;
      }
  }
}

// Adds a pointer of three tags that tilts in a dent, then touches a place.
void add_pointer(const Vector3d& touched_mm, Network& network, HardpointQuestion& question) {
  const std::vector<Vector3d> tags_mm{{0, 0, 150}, {30, 0, 220}, {-30, 10, 290}};
  Body pointer{"pointer", {90, 91, 92}};
  std::vector<std::pair<std::string, RigidTransform>> stands;  // vehicle from stick
  const auto stand = [&](const std::string& set, const Vector3d& tip_mm, const Vector3d& tilt_rad) {
    stands.push_back(
        {set, {Eigen::Quaterniond(Eigen::AngleAxisd(tilt_rad.norm(), tilt_rad.normalized())), tip_mm}});
  };
  for (int i = 0; i < 5; ++i) {
    question.dent_sets.push_back("ride/dent " + std::to_string(i));
    stand(question.dent_sets.back(), {100, 900, 0}, {0.5 * std::cos(1.3 * i), 0.5 * std::sin(1.3 * i), 0.2});
  }
  stand("ride/touch", touched_mm, {0.3, -0.8, 0.1});
  for (std::size_t i = 0; i < tags_mm.size(); ++i)
    for (const auto& [set, vehicle_from_stick] : stands) {
      TagInSpace tag;
      tag.number = pointer.tags[i];
      tag.set = set;
      tag.widest_angle_rad = 1.0;
      tag.network_from_tag = network_from_vehicle * vehicle_from_stick *
                             RigidTransform{Eigen::Quaterniond::Identity(), tags_mm[i]};
      network.tags.push_back(tag);
    }
  const auto before = network.tag_covariance.rows();
  const auto width = static_cast<Eigen::Index>(6 * network.tags.size());
  Eigen::MatrixXd covariance = Eigen::MatrixXd::Zero(width, width);
  covariance.topLeftCorner(before, before) = network.tag_covariance;
  for (auto at = before; at < width; ++at) covariance(at, at) = at % 6 < 3 ? 1e-4 : 1e-7;
  network.tag_covariance = covariance;
  question.bodies.push_back(pointer);
}

// Of a set with one photo of the pointer nothing of it is in the network.
TEST(LocateMoving, LeavesOutATouchAndAPositionInTheDentThatShowNothingOfThePointer) {
  const auto stands = five_heights();
  Network network = made_up_network(strut(), stands, {}, 1);
  HardpointQuestion question = by_motion(strut(), stands);
  add_pointer(strut().truth.position_vehicle_mm("link_outer_joint"), network, question);
  auto recipe = std::find_if(question.hardpoints.begin(), question.hardpoints.end(),
                             [](const HardpointRecipe& one) { return one.name == "link_outer_joint"; });
  recipe->way = Touches{{"ride/touch"}, 0.1};
  const Located without = locate(network, question);
  question.dent_sets.insert(question.dent_sets.begin(), "ride/dent unseen");
  recipe->way = Touches{{"ride/touch unseen", "ride/touch"}, 0.1};
  const Located with = locate(network, question);
  const std::string remedy =
      " Add a photo of it with the same tags in view, from further round, with the stick held still.";
  std::vector<std::string> expected{
      "No tag of the pointer is in two photos of \"dent unseen\". That position in the dent is left out; the "
      "pointer's tip rests on 5 of 6." +
          remedy,
      "No tag of the pointer is in two photos of \"touch unseen\". That touch is left out; link_outer_joint "
      "rests on 1 of 2." +
          remedy};
  expected.insert(expected.end(), without.notes.begin(), without.notes.end());
  EXPECT_EQ(with.notes, expected);
  for (std::size_t i = 0; i < without.hardpoints.points.size(); ++i) {
    const Hardpoint& point = without.hardpoints.points[i];
    EXPECT_EQ(with.hardpoints.points[i].way, point.way);
    EXPECT_LT((with.hardpoints.points[i].position_vehicle_mm - point.position_vehicle_mm).norm(), 1e-9)
        << point.name;
  }
  EXPECT_TRUE(with.hardpoints.covariance_mm2.isApprox(without.hardpoints.covariance_mm2, 1e-9));
  recipe->way = Touches{{"ride/touch unseen"}, 0.1};
  expect_refusal([&] { locate(network, question); },
                 "No tag of the pointer is in two photos of \"touch unseen\".");
}

// A tag with motion that leaves it open along an untwisted link, motion alone of a point and of lines, the
// pointer, a ring, a tube and a pair.
HardpointQuestion every_way(const std::vector<Stand>& stands) {
  HardpointQuestion question = by_motion(strut(), stands);
  const auto recipe = [&](const std::string& name) -> HardpointRecipe& {
    return *std::find_if(question.hardpoints.begin(), question.hardpoints.end(),
                         [&](const HardpointRecipe& one) { return one.name == name; });
  };
  recipe("link_inner_joint").way = TagOffset{52, {10, -20, -30}, 20.0};
  recipe("link_inner_joint").motion = true;
  recipe("lower_arm_rear_pivot").way = TagOffset{45, {5, -40, -25}, 30.0};
  recipe("lower_arm_rear_pivot").motion = true;
  recipe("link_outer_joint").way = Touches{{"ride/touch"}, 0.1};
  recipe("strut_axis_low").way =
      TagTube{{first_tube_tag, first_tube_tag + 1, first_tube_tag + 2}, tube_stand_off_mm, 0.1};
  recipe("strut_top_mount").way = TagPair{34, 35, 0.4, 3.0};
  recipe("wheel_centre").motion = true;
  question.axes.forward_sigma_rad = 0.003;
  question.axes.half_track_sigma_mm = 2.0;
  return question;
}

// Neither the network's axes nor which tag holds its datum mean anything: covariances in the car's axes come
// out the same for every way to a pivot; where the joints have play as well.
TEST(LocateMoving, StatesTheSameUncertaintyWhateverTheNetworksAxesAndDatum) {
  std::vector<Stand> stands = five_heights();
  for (Stand& stand : stands) stand.link_roll_rad = 0.0;
  stands.insert(stands.begin() + 1, {{"ride/a", 0, 0, 0, 0.9}, {"ride/b", 0, 0, 0, 1.8}});
  const RigidTransform elsewhere{Eigen::Quaterniond(-0.2, 0.6, 0.1, 0.5).normalized(), {-800, 250, 430}};
  for (const double stated : {1.0, 0.04}) {
    Network network = made_up_network(strut(), stands, {0.015, 0.0004}, 4);
    network.tag_covariance *= stated;
    HardpointQuestion question = every_way(stands);
    add_pointer(strut().truth.position_vehicle_mm("link_outer_joint"), network, question);
    const Located here = locate(network, question);
    for (const Network& other : {in_other_axes(network, elsewhere), with_unsure_datum(network, 2.0, 0.004)}) {
      const Located there = locate(other, question);
      EXPECT_EQ(there.notes, here.notes);
      // The wheel centre's x and y are zero and half the track by definition.
      const Eigen::VectorXd sigma = here.hardpoints.covariance_mm2.diagonal().cwiseSqrt().cwiseMax(1e-3);
      for (std::size_t i = 0; i < here.hardpoints.points.size(); ++i) {
        const auto& point = here.hardpoints.points[i];
        const Vector3d moved = there.hardpoints.points[i].position_vehicle_mm - point.position_vehicle_mm;
        EXPECT_LT(moved.cwiseQuotient(sigma.segment<3>(3 * i)).norm(), 0.01) << point.name;
        const Eigen::MatrixXd rows = (there.hardpoints.covariance_mm2 - here.hardpoints.covariance_mm2)
                                         .middleRows<3>(3 * static_cast<Eigen::Index>(i));
        EXPECT_LT(
            (sigma.segment<3>(3 * i).cwiseInverse().asDiagonal() * rows * sigma.cwiseInverse().asDiagonal())
                .cwiseAbs()
                .maxCoeff(),
            0.01)
            << point.name << " stated " << stated;
      }
      ASSERT_EQ(there.wheel.size(), here.wheel.size());
      for (std::size_t i = 0; i < here.wheel.size(); ++i)
        EXPECT_NEAR(there.wheel[i].toe_sigma_rad, here.wheel[i].toe_sigma_rad,
                    0.01 * here.wheel[i].toe_sigma_rad);
    }
  }
}

// A stand-off that is wrong by 0.3 mm along the tag, stated as such, against what motion says.
TEST(LocateMoving, WeighsATagAgainstMotion) {
  const auto stands = five_heights();
  const Network network = made_up_network(strut(), stands, {0.01, 0.0003}, 2);
  HardpointQuestion question = by_motion(strut(), stands);
  put_strut_by_hand(question);
  const Vector3d joint = strut().truth.position_vehicle_mm("link_inner_joint");
  RigidTransform tag;
  for (const CornerTag& one : strut().tags)
    if (one.number == 52) tag = one.vehicle_from_tag_at_ride;
  const Vector3d offset = tag.inverse() * joint + Vector3d(0.0, 0.0, 0.3);
  HardpointRecipe& recipe = question.hardpoints[5];
  ASSERT_EQ(recipe.name, "link_inner_joint");
  recipe.way = TagOffset{52, offset, 0.2};
  const Located alone = locate(network, question);
  recipe.motion = true;
  const Located both = locate(network, question);
  const auto miss = [&](const Located& located) {
    return miss_mm(located.hardpoints, strut().truth, "link_inner_joint").tail<2>().norm();
  };
  EXPECT_GT(miss(alone), 0.2);
  EXPECT_LT(miss(both), 0.12);
  EXPECT_LT(sigma_mm(both.hardpoints, 5, 2), 0.5 * sigma_mm(alone.hardpoints, 5, 2));
}

TEST(LocateMoving, SaysWhenATagAndMotionDisagree) {
  const auto stands = five_heights();
  const Network network = made_up_network(strut(), stands, {0.01, 0.0003}, 2);
  HardpointQuestion question = by_motion(strut(), stands);
  put_strut_by_hand(question);
  question.hardpoints[5].way = TagOffset{52, {0, 0, 0}, 0.2};  // tens of millimetres away
  question.hardpoints[5].motion = true;
  const Located located = locate(network, question);
  bool said = false;
  for (const std::string& note : located.notes)
    said = said || note.find("link_inner_joint: its tag and its motion disagree") == 0;
  EXPECT_TRUE(said);
}

// A tag partly covered in some photos looks as if it were loose, or the joint had play: what is said names
// it.
TEST(LocateMoving, NamesAPartlyCoveredTagAmongTheCausesOfWhatDoesNotFit) {
  const auto stands = five_heights();
  Network network = made_up_network(strut(), stands, {0.015, 0.0004}, 3);
  network.tags[network.index_of_tag(46, "up 20")].network_from_tag.translation_mm.x() += 0.4;
  for (const int tag : strut().body("link").tags)
    network.tags[network.index_of_tag(tag, "up 20")].network_from_tag.translation_mm.x() += 1.0;
  HardpointQuestion question = by_motion(strut(), stands);
  put_strut_by_hand(question);
  std::string notes;
  for (const std::string& note : locate(network, question).notes) notes += note + "\n";
  for (const char* said :
       {"The tags of the lower_arm do not keep their places to each other; tag 46 fits worst. Is one loose, "
        "or "
        "partly covered in some photos, or did the part bend? ",
        "link_outer_joint: the joint moves by more than the photos' noise (",
        " times); play or rubber, or is a tag partly covered in some photos? Its uncertainty from motion is "
        "that much wider.\n"})
    EXPECT_NE(notes.find(said), std::string::npos) << said << "\nin\n" << notes;
}

TEST(LocateMoving, ReadsToeAndCamberAtEveryHeight) {
  std::vector<Stand> stands = five_heights();
  stands.insert(stands.begin() + 1, {{"ride/a", 0, 0, 0, 0.9}, {"ride/b", 0, 0, 0, 1.8}});
  const Network network = made_up_network(strut(), stands, {}, 1);
  const Located located = locate(network, by_motion(strut(), stands));
  ASSERT_EQ(located.wheel.size(), 5u);
  for (std::size_t i = 0; i < 5; ++i) {
    const Stand stand = five_heights()[i];
    const Vector3d spin = strut().poses(stand).at("knuckle").rotation * strut().spin_axis();
    EXPECT_EQ(located.wheel[i].height, stand.set);
    EXPECT_NEAR(located.wheel[i].rise_mm, stand.travel_mm, 0.1);
    EXPECT_NEAR(located.wheel[i].toe_rad, std::atan2(spin.x(), spin.y()), 1e-6);
    EXPECT_NEAR(located.wheel[i].camber_rad, -std::asin(spin.z()), 1e-6);
  }
}

TEST(LocateMoving, GivesToeOfEverySetAsReadingsWithoutTheAxesCommonError) {
  const auto stands = five_heights();
  const Network network = made_up_network(strut(), stands, {0.01, 0.0003}, 3);
  HardpointQuestion question = by_motion(strut(), stands);
  put_strut_by_hand(question);
  question.axes.forward_sigma_rad = 0.2 * rad_per_deg;
  const Located located = locate(network, question);
  const std::vector<ToeReading> readings = toe_readings(located, question);
  ASSERT_EQ(readings.size(), 5u);
  EXPECT_GT(located.wheel[1].toe_sigma_rad, 0.19 * rad_per_deg);
  for (std::size_t i = 0; i < 5; ++i) {
    EXPECT_TRUE(readings[i].from_photos && readings[i].only_compared);
    EXPECT_LT(readings[i].sigma_rad, 0.02 * rad_per_deg);
    const Vector3d spin = strut().poses(stands[i]).at("knuckle").rotation * strut().spin_axis();
    const Vector3d spin_at_ride = strut().poses(stands[0]).at("knuckle").rotation * strut().spin_axis();
    const double change = std::atan2(spin.x(), spin.y()) - std::atan2(spin_at_ride.x(), spin_at_ride.y());
    const double sigma = std::hypot(readings[i].sigma_rad, readings[0].sigma_rad);
    EXPECT_NEAR(readings[i].toe_rad - readings[0].toe_rad, change, 3.0 * sigma);
    EXPECT_NEAR(readings[i].travel_mm, stands[i].travel_mm, 0.3);
  }
  for (HardpointRecipe& recipe : question.hardpoints)
    if (std::holds_alternative<ByMotion>(recipe.way))
      recipe.way = ByHand{strut().truth.position_vehicle_mm(recipe.name), Vector3d(1, 2, 3)};
  EXPECT_FALSE(toe_readings(locate(network, question), question).front().only_compared);
}

// Of the strut's tag.
Vector3d place_mm(int number) {
  for (const CornerTag& one : strut().tags)
    if (one.number == number) return one.vehicle_from_tag_at_ride.translation_mm;
  ADD_FAILURE() << "no tag " << number;
  return Vector3d::Zero();
}

TEST(LocateMoving, TellsEachSetsHeightFromARecordedDistance) {
  const auto stands = five_heights();
  const Network network = made_up_network(strut(), stands, {}, 1);
  HardpointQuestion question = by_motion(strut(), stands);
  const Vector3d body = place_mm(35);
  const double at_ride_mm = (body - strut().truth.position_vehicle_mm("wheel_centre")).norm();
  question.ride_height = RideHeightRecipe{35, at_ride_mm + 3.0, 0.5, {}, -1, 0.0};
  const Located located = locate(network, question);
  ASSERT_EQ(located.ride_height.size(), 5u);
  const double steepness = (body - strut().truth.position_vehicle_mm("wheel_centre")).z() / at_ride_mm;
  EXPECT_NEAR(located.ride_height[0].above_mm, 3.0 / steepness, 0.1);  // the jack was too high
  EXPECT_NEAR(located.ride_height[1].above_mm, 3.0 / steepness + 20.0, 0.8);
  EXPECT_NEAR(located.ride_height[0].sigma_mm, 0.5 / steepness, 0.05);
}

// On its wheels, where half the track was measured, the wheel stood 20 mm lower than in the photos. Until
// there it runs on an arc, so that all pivots come out sideways by more than the tape was off.
TEST(LocateMoving, CoversWhatAHalfTrackMeasuredAtAnotherHeightIsOff) {
  const auto stands = five_heights();
  const HardpointSet& truth = strut().truth;
  const Vector3d on_wheels =
      strut().poses({"down 20", -20.0}).at("knuckle") * truth.position_vehicle_mm("wheel_centre");
  HardpointQuestion question = by_motion(strut(), stands);
  question.axes.half_track_mm = on_wheels.y();
  question.axes.half_track_sigma_mm = 0.2;
  question.ride_height = RideHeightRecipe{35, (place_mm(35) - on_wheels).norm(), 0.5, {}, -1, 0.0};
  const Located located = locate(made_up_network(strut(), stands, {}, 1), question);
  EXPECT_NEAR(located.ride_height.at(0).above_mm, 20.0, 1.0);
  const HardpointSet& found = located.hardpoints;
  const double off_mm = std::abs(miss_mm(found, truth, "link_inner_joint").y());
  EXPECT_GT(off_mm, 3.0 * 0.2);
  EXPECT_LT(off_mm, 2.0 * sigma_mm(found, found.index_of("link_inner_joint"), 1));
  EXPECT_NEAR(located.centre_plane.shift_sigma_mm, 2.0, 0.1);
}

TEST(LocateMoving, HoldsPointsToATapesDistance) {
  const auto stands = five_heights();
  const Network network = made_up_network(strut(), stands, {}, 1);
  HardpointQuestion question = by_motion(strut(), stands);
  question.hardpoints[6].way =
      ByHand{{-132, 683, 270}, Vector3d::Constant(8.0)};  // link_outer_joint, roughly
  const double true_mm = (strut().truth.position_vehicle_mm("link_outer_joint") -
                          strut().truth.position_vehicle_mm("link_inner_joint"))
                             .norm();
  question.distances = {{"link_inner_joint", "link_outer_joint", true_mm, 0.2}};
  const HardpointSet found = locate(network, question).hardpoints;
  EXPECT_NEAR(
      (found.position_vehicle_mm("link_outer_joint") - found.position_vehicle_mm("link_inner_joint")).norm(),
      true_mm, 0.1);
}

// A car's other side: its tags are those of the left one mirrored in the centre plane.
TEST(LocateMoving, TakesTheCentrePlaneFromLikePointsOnBothSides) {
  Network network = made_up_network(strut(), {{}}, {}, 1);
  HardpointQuestion question;
  question.axes = {{0, 1, 2, 3, 4, 5}};
  int number = 200;
  for (const int left : {30, 31}) {
    const Vector3d place = network_from_vehicle.inverse() *
                           network.tags[network.index_of_tag(left)].network_from_tag.translation_mm;
    TagInSpace tag;
    tag.number = number++;
    tag.network_from_tag.translation_mm = network_from_vehicle * Vector3d(place.x(), -place.y(), place.z());
    network.tags.push_back(tag);
    question.axes.like_points.emplace_back(left, tag.number);
  }
  question.axes.like_sigma_mm = 1.0;
  const auto width = static_cast<Eigen::Index>(6 * network.tags.size());
  network.tag_covariance = Eigen::MatrixXd::Identity(width, width) * 1e-10;
  const HardpointSet& truth = strut().truth;
  for (const std::string& name : hardpoint_names(Layout::strut))
    question.hardpoints.push_back({name, TagOffset{30, {}, 0.0}});
  for (HardpointRecipe& recipe : question.hardpoints) {
    const RigidTransform& tag = network.tags[network.index_of_tag(30)].network_from_tag;
    std::get<TagOffset>(recipe.way).offset_tag_mm =
        tag.inverse() * (network_from_vehicle * truth.position_vehicle_mm(recipe.name));
  }
  const HardpointSet found = locate(network, question).hardpoints;
  for (const Hardpoint& point : found.points)
    EXPECT_LT((point.position_vehicle_mm - truth.position_vehicle_mm(point.name)).norm(), 1e-6) << point.name;
  // Two pairs: each middle is uncertain by 1 mm over root two, their mean by half a millimetre.
  EXPECT_NEAR(sigma_mm(found, found.index_of("wheel_centre"), 1), 0.5, 0.1);
}

TEST(LocateMoving, NamesABodyThatTheJobForgot) {
  const auto stands = five_heights();
  const Network network = made_up_network(strut(), stands, {}, 1);
  HardpointQuestion question = by_motion(strut(), stands);
  std::erase_if(question.bodies, [](const Body& body) { return body.name == "lower_arm"; });
  try {
    locate(network, question);
    FAIL();
  } catch (const Problem& problem) {
    EXPECT_EQ(problem.what_happened(),
              "lower_arm_front_pivot needs tags on the lower_arm, and the job names none.");
  }
}

}  // namespace
}  // namespace pivotfix
