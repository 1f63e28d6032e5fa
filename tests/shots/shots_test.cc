// SPDX-License-Identifier: Apache-2.0
// Where to stand next: in words, and whether standing there keeps the promise, by adjusting simulated photos.
#include "shots/shots.h"

#include <gtest/gtest.h>

#include <Eigen/Geometry>

#include "advice/made_up_sets.h"
#include "network/simulated_corner.h"
#include "shots/by_hand.h"
#include "shots/candidates.h"

namespace pivotfix {
namespace {

using Eigen::Vector3d;
using simulation::made_up_corner;
using simulation::sideways_mm;
using Corner = simulation::CornerOfTags;

// Wheel centre of an invented corner and its rod end, 150 mm behind and 50 mm inboard of it.
const Vector3d left_wheel_mm{0, 740, 300}, left_rod_end_mm{-150, 690, 250};

Shot standing_at(const Vector3d& place_mm, bool upright) {
  Shot shot;
  shot.place_vehicle_mm = place_mm;
  shot.upright = upright;
  return shot;
}

TEST(ShotWords, NameHeightBearingPhoneAndDistance) {
  EXPECT_EQ(shot_words(standing_at({700, 840, 200}, true), left_wheel_mm, left_rod_end_mm, 1.0),
            "low, ahead of the wheel, phone upright, 0.9 m from the rod end");
  EXPECT_EQ(shot_words(standing_at({-700, 840, 1150}, false), left_wheel_mm, left_rod_end_mm, 1.0),
            "at chest height, behind the wheel, phone on its side, 1.1 m from the rod end");
  EXPECT_EQ(shot_words(standing_at({0, 1740, 600}, false), left_wheel_mm, left_rod_end_mm, 1.0),
            "at knee height, straight out from the wheel, phone on its side, 1.1 m from the rod end");
  EXPECT_EQ(shot_words(standing_at({600, 1340, 600}, false), left_wheel_mm, left_rod_end_mm, 1.0),
            "at knee height, half way round to the front, phone on its side, 1.1 m from the rod end");
}

TEST(ShotWords, AreTheSameForTheMirroredRightCorner) {
  const auto mirrored = [](Vector3d v) { return Vector3d(v.x(), -v.y(), v.z()); };
  for (const Vector3d& place : {Vector3d(700, 840, 200), {-300, 1500, 600}, {0, 1740, 1150}})
    EXPECT_EQ(shot_words(standing_at(place, true), left_wheel_mm, left_rod_end_mm, 1.0),
              shot_words(standing_at(mirrored(place), true), mirrored(left_wheel_mm),
                         mirrored(left_rod_end_mm), -1.0));
}

NetworkInput photographed(const Corner& corner, int photos) {
  simulation::Wishes wishes;
  wishes.photos = photos;
  std::mt19937 random(5);
  NetworkInput input = simulation::photograph(corner.truth, wishes, random).input;
  input.scale_bars = {
      {0, 1,
       (corner.truth.world_from_tag[0].translation_mm - corner.truth.world_from_tag[1].translation_mm).norm(),
       0.002}};
  return input;
}

// The rear half of the way round.
NetworkInput photographed_from_behind(const Corner& corner) {
  NetworkInput input = photographed(corner, 16);
  input.photos.resize(8);
  return input;
}

// With the tags that the plan counts on: the simulation hides nothing, a car does.
PhotoSightings photo_from(const Corner& corner, const Candidate& candidate, const Network& network) {
  const Shot& shot = candidate.shot;
  const Vector3d to_world(0, -sideways_mm, 0);
  const auto camera = simulation::look_at(corner.truth, shot.place_vehicle_mm + to_world,
                                          shot.aim_vehicle_mm + to_world, shot.upright ? M_PI / 2 : 0.0);
  std::mt19937 random(9);
  PhotoSightings photo =
      simulation::photo_of(corner.truth, camera, corner.truth.world_from_tag, {}, 0.4, random);
  photo.photo = "next.jpg";
  std::erase_if(photo.sightings, [&](const Sighting& sighting) {
    const auto& counted = candidate.photo.tags;
    return std::find(counted.begin(), counted.end(), network.index_of_tag(sighting.tag_number)) ==
           counted.end();
  });
  return photo;
}

// Stated uncertainty of the weakest pivot of the plan, noise and widening as before.
double adjusted_sigma_mm(const Corner& corner, NetworkInput input, const Candidate& candidate,
                         std::size_t point, const Network& before) {
  input.photos.push_back(photo_from(corner, candidate, before));
  const Network network = adjust_network(input);
  const HardpointSet set = locate(network, corner.question).hardpoints;
  const auto of = [](const Network& n) { return n.noise_factor * std::max(1.0, n.cross_validation.ratio); };
  const auto at = 3 * static_cast<Eigen::Index>(point);
  return std::sqrt(set.covariance_mm2.block<3, 3>(at, at).trace()) * of(before) / of(network);
}

Candidate candidate_of(const ShotQuestion& question, const Shot& shot) {
  for (const Candidate& candidate : candidate_shots(question))
    if (candidate.shot.place_vehicle_mm == shot.place_vehicle_mm && candidate.shot.upright == shot.upright)
      return candidate;
  ADD_FAILURE() << "the plan names a place that is no candidate";
  return {};
}

std::size_t weakest(const HardpointSet& set) {
  std::size_t weakest = 0;
  const auto variance = [&](std::size_t i) {
    return set.covariance_mm2.block<3, 3>(3 * static_cast<Eigen::Index>(i), 3 * static_cast<Eigen::Index>(i))
        .trace();
  };
  for (std::size_t i = 1; i < set.points.size(); ++i)
    if (variance(i) > variance(weakest)) weakest = i;
  return weakest;
}

TEST(PlanShots, KeepsItsPromiseWhenThePhotoIsTaken) {
  const Corner corner = made_up_corner();
  const NetworkInput input = photographed_from_behind(corner);
  const Network network = adjust_network(input);
  const Located hardpoints = locate(network, corner.question);
  const ShotQuestion question{network, hardpoints, nullptr, edge_quality(input.photos), 3};
  const ShotPlan plan = plan_shots(question);
  ASSERT_GE(plan.shots.size(), 2u);
  EXPECT_LT(plan.shots[0].photo_sigma_mm, 0.97 * plan.photo_sigma_mm);
  EXPECT_LT(plan.shots[1].photo_sigma_mm, plan.shots[0].photo_sigma_mm);
  const double taken_mm = adjusted_sigma_mm(corner, input, candidate_of(question, plan.shots[0]),
                                            weakest(hardpoints.hardpoints), network);
  const double promised_gain_mm = plan.photo_sigma_mm - plan.shots[0].photo_sigma_mm;
  EXPECT_NEAR(plan.photo_sigma_mm - taken_mm, promised_gain_mm, 0.3 * promised_gain_mm)
      << "from " << plan.photo_sigma_mm << " mm";
}

TEST(PlanShots, PutsABetterPlaceBeforeAWorseOne) {
  const Corner corner = made_up_corner();
  const NetworkInput input = photographed_from_behind(corner);
  const Network network = adjust_network(input);
  const Located hardpoints = locate(network, corner.question);
  const ShotQuestion question{network, hardpoints, nullptr, edge_quality(input.photos), 1};
  const ShotPlan plan = plan_shots(question);
  ASSERT_FALSE(plan.shots.empty());
  const double best_mm = adjusted_sigma_mm(corner, input, candidate_of(question, plan.shots[0]),
                                           weakest(hardpoints.hardpoints), network);
  std::vector<double> others_mm;
  const auto candidates = candidate_shots(question);
  for (std::size_t i = 0; i < candidates.size(); i += candidates.size() / 8)
    others_mm.push_back(
        adjusted_sigma_mm(corner, input, candidates[i], weakest(hardpoints.hardpoints), network));
  std::sort(others_mm.begin(), others_mm.end());
  EXPECT_GT(others_mm.front(), 0.98 * best_mm);
  EXPECT_GT(others_mm[others_mm.size() / 2], 1.01 * best_mm);
}

// The same tags taken for a right corner: front is rear, and so are the names. The wheel, its toe curve (up
// to the sign) and the best height are the same, only every y and x of the vehicle changes its sign.
HardpointQuestion as_right_corner(HardpointQuestion question) {
  question.side = Side::right;
  std::swap(question.axes.forward_from, question.axes.forward_to);
  const auto recipe = [&](const std::string& name) {
    return std::find_if(question.hardpoints.begin(), question.hardpoints.end(),
                        [&](const HardpointRecipe& one) { return one.name == name; });
  };
  std::swap(recipe("lower_arm_front_pivot")->way, recipe("lower_arm_rear_pivot")->way);
  return question;
}

TEST(PlanShots, GivesARightCornerTheUncertaintyAndTheOrderOfTheLeftOne) {
  const Corner corner = made_up_corner();
  const NetworkInput input = photographed_from_behind(corner);
  const Network network = adjust_network(input);
  const auto plan_of = [&](const HardpointQuestion& question) {
    Located located = locate(network, question);
    located.hardpoints.wheel.camber_is_known = true;
    const Advice advice = advise(located.hardpoints, RodEnd{}, Travel{40.0, 40.0});
    return plan_shots({network, located, &advice, edge_quality(input.photos), 3});
  };
  const ShotPlan left = plan_of(corner.question);
  const ShotPlan right = plan_of(as_right_corner(corner.question));
  EXPECT_EQ(left.wanted, "the best height of the rod end");
  EXPECT_EQ(right.wanted, left.wanted);
  EXPECT_NEAR(right.sigma_mm, left.sigma_mm, 1e-4 * left.sigma_mm);
  EXPECT_NEAR(right.photo_sigma_mm, left.photo_sigma_mm, 1e-4 * left.photo_sigma_mm);
  // Nothing was stated by hand but the half track, which moves all pivots alike.
  EXPECT_NEAR(right.photo_sigma_mm, right.sigma_mm, 1e-3 * right.sigma_mm);
  ASSERT_EQ(right.shots.size(), left.shots.size());
  ASSERT_FALSE(left.shots.empty());
  for (std::size_t i = 0; i < left.shots.size(); ++i) {
    EXPECT_NEAR(right.shots[i].photo_sigma_mm, left.shots[i].photo_sigma_mm, 1e-3 * left.sigma_mm);
    const Vector3d there = left.vehicle_from_network.inverse() * left.shots[i].place_vehicle_mm;
    EXPECT_LT((right.vehicle_from_network.inverse() * right.shots[i].place_vehicle_mm - there).norm(), 1.0);
  }
}

TEST(PlanShots, ShowsNoPartWhereAnotherSetHasIt) {
  const Corner corner = made_up_corner();
  const NetworkInput input = photographed_from_behind(corner);
  Network network = adjust_network(input);
  const Located hardpoints = locate(network, corner.question);
  const auto shown = [&](const std::string& set) {
    ShotQuestion question{network, hardpoints, nullptr, edge_quality(input.photos), 1};
    question.set = set;
    std::size_t tags = 0;
    for (const Candidate& candidate : candidate_shots(question)) tags += candidate.photo.tags.size();
    return tags;
  };
  const std::size_t all = shown("ride");
  for (TagInSpace& tag : network.tags)
    if (tag.number % 2 == 0) tag.set = "up 20";
  EXPECT_EQ(shown("up 20"), all);
  EXPECT_LT(shown("ride"), all);
}

TEST(PlanShots, SaysWhichPivotIsWeakestAndWhichTagsHaveFewPhotos) {
  const Corner corner = made_up_corner();
  NetworkInput input = photographed(corner, 14);
  constexpr int top_mount_tag = 8;
  int left = 2;
  for (PhotoSightings& photo : input.photos)
    std::erase_if(photo.sightings, [&](const Sighting& sighting) {
      return sighting.tag_number == top_mount_tag && left-- <= 0;
    });
  const Network network = adjust_network(input);
  const Located hardpoints = locate(network, corner.question);
  const ShotPlan plan = plan_shots({network, hardpoints, nullptr, edge_quality(input.photos), 1});
  ASSERT_EQ(plan.weak.size(), 2u);
  EXPECT_TRUE(plan.weak[0].starts_with("Weakest pivot: top mount of the strut")) << plan.weak[0];
  EXPECT_NE(plan.weak[0].find("only 2 photos show tag 8"), std::string::npos) << plan.weak[0];
  EXPECT_NE(plan.weak[0].find("take 2 more that show it"), std::string::npos) << plan.weak[0];
  EXPECT_EQ(plan.weak[1],
            "Too few photos show these tags: 8. Take one or two more that show each, standing where the tag "
            "faces and an arm's length away.");
}

// Photos all round, so the pivot hangs on its stand-off alone; 5 mm leave nothing for another photo to do.
TEST(PlanShots, NamesTheStandOffWhereNoPhotoWouldHelp) {
  Corner corner = made_up_corner();
  for (HardpointRecipe& recipe : corner.question.hardpoints)
    if (auto* offset = std::get_if<TagOffset>(&recipe.way); offset && recipe.name == "strut_top_mount")
      offset->sigma_mm = 5.0;
  const NetworkInput input = photographed(corner, 14);
  const Network network = adjust_network(input);
  const Located hardpoints = locate(network, corner.question);
  const ShotPlan plan = plan_shots({network, hardpoints, nullptr, edge_quality(input.photos), 3});
  EXPECT_TRUE(plan.shots.empty());
  ASSERT_EQ(plan.by_hand.size(), 1u);
  EXPECT_EQ(plan.by_hand[0].words, "the stand-off of the top mount of the strut");
  EXPECT_EQ(plan.by_hand[0].tag, 8);
  // The three coordinates of the place, 5 mm each.
  EXPECT_NEAR(plan.by_hand[0].sigma_mm, 5.0 * std::sqrt(3.0), 0.05);
  EXPECT_NEAR(plan.sigma_mm, 5.0 * std::sqrt(3.0), 0.05);
}

// The stand-off counts along the face's normal, how well the tag sits centred in two directions across it.
TEST(PlanShots, NamesTheStandOffOrHowWellTheTagSitsCentred) {
  Corner corner = made_up_corner();
  const NetworkInput input = photographed(corner, 14);
  const Network network = adjust_network(input);
  const auto named = [&](double stand_off_sigma_mm, double centring_sigma_mm) {
    constexpr std::size_t top_mount = 3;
    HardpointRecipe& recipe = corner.question.hardpoints[top_mount];
    auto& way = std::get<TagOffset>(recipe.way);
    way.sigma_mm = stand_off_sigma_mm;
    way.centring_sigma_mm = centring_sigma_mm;
    const Located located = locate(network, corner.question);
    Eigen::MatrixXd by_points = Eigen::MatrixXd::Zero(3, located.by_tags.rows());
    by_points.middleCols<3>(3 * top_mount).setIdentity();
    return measured_by_hand({network, located, nullptr, edge_quality(input.photos), 3}, by_points);
  };
  const auto centring = named(0.01, 0.5);
  ASSERT_EQ(centring.size(), 1u);
  EXPECT_EQ(centring[0].words, "how well the tag sits centred over the top mount of the strut");
  EXPECT_EQ(centring[0].tag, 8);
  EXPECT_NEAR(centring[0].sigma_mm, 0.5 * std::sqrt(2.0), 0.01);
  const auto stand_off = named(0.5, 0.01);
  ASSERT_EQ(stand_off.size(), 1u);
  EXPECT_EQ(stand_off[0].words, "the stand-off of the top mount of the strut");
  EXPECT_NEAR(stand_off[0].sigma_mm, 0.5, 0.01);
}

// An uneven floor tilts and lifts the axes: that is no pivot's stand-off, and between two pivots it drops
// out.
TEST(PlanShots, NamesTheFloorNotAStandOffWhereItCounts) {
  Corner corner = made_up_corner();
  constexpr double floor_sigma_mm = 3.0;
  corner.question.axes.floor_sigma_mm = floor_sigma_mm;
  const NetworkInput input = photographed(corner, 14);
  const Network network = adjust_network(input);
  const Located located = locate(network, corner.question);
  constexpr Eigen::Index top_mount_z = 3 * 3 + 2;
  Eigen::MatrixXd by_points = Eigen::MatrixXd::Zero(1, located.by_tags.rows());
  by_points(0, top_mount_z) = 1.0;
  const auto parts = measured_by_hand({network, located, nullptr, edge_quality(input.photos), 3}, by_points);
  ASSERT_EQ(parts.size(), 1u);
  EXPECT_EQ(parts[0].words, "how level the floor tags lie");
  EXPECT_EQ(parts[0].tag, -1);
  const double all_mm = std::sqrt(located.hardpoints.covariance_mm2(top_mount_z, top_mount_z));
  EXPECT_GT(parts[0].sigma_mm, 0.9 * all_mm);
  EXPECT_LE(parts[0].sigma_mm, all_mm);
}

// The strip is 500.4 mm long, the top mount's tag 817.1 mm over the floor: 1 mm of the one is 1.633 mm there.
TEST(PlanShots, NamesTheScaleStripWhereItCounts) {
  const Corner corner = made_up_corner();
  NetworkInput input = photographed(corner, 14);
  for (ScaleBar& bar : input.scale_bars) bar.sigma_mm = 1.0;
  const Network network = adjust_network(input);
  const Located located = locate(network, corner.question);
  Eigen::MatrixXd by_points = Eigen::MatrixXd::Zero(1, located.by_tags.rows());
  by_points(0, 3 * 3 + 2) = 1.0;
  const auto parts = measured_by_hand({network, located, nullptr, edge_quality(input.photos), 3}, by_points);
  ASSERT_EQ(parts.size(), 1u);
  EXPECT_EQ(parts[0].words, "the length of the scale strip");
  EXPECT_TRUE(parts[0].within_photos);
  EXPECT_NEAR(parts[0].sigma_mm, 1.633, 0.02);
}

// Errors that pivots share had made one pivot's part larger than all of it.
TEST(PlanShots, NamesNothingThatBringsMoreThanTheWhole) {
  Corner corner = made_up_corner();
  corner.question.axes.floor_sigma_mm = 3.0;
  for (HardpointRecipe& recipe : corner.question.hardpoints)
    if (auto* offset = std::get_if<TagOffset>(&recipe.way)) offset->sigma_mm = 0.2;
  const NetworkInput input = photographed(corner, 14);
  const Network network = adjust_network(input);
  const Located located = locate(network, corner.question);
  constexpr Eigen::Index first_z = 2, top_mount_z = 3 * 3 + 2;
  Eigen::MatrixXd by_points = Eigen::MatrixXd::Zero(1, located.by_tags.rows());
  by_points(0, top_mount_z) = 1.0;
  by_points(0, first_z) = -1.0;
  const double all_mm =
      std::sqrt((by_points * located.hardpoints.covariance_mm2 * by_points.transpose())(0, 0));
  double squares_mm2 = 0.0;
  for (const MeasuredByHand& part :
       measured_by_hand({network, located, nullptr, edge_quality(input.photos), 3}, by_points))
    squares_mm2 += part.sigma_mm * part.sigma_mm;
  EXPECT_GT(squares_mm2, 0.0);
  EXPECT_LE(squares_mm2, 1.0001 * all_mm * all_mm);
}

// The top mount is hardly known, so the strut's axis hangs on its tube's tags and their stand-off alone.
TEST(PlanShots, NamesTheStandOffOfATube) {
  constexpr double stand_off_mm = 25.0;
  Corner corner = made_up_corner();
  const auto recipe = [&](const std::string& name) -> HardpointRecipe& {
    return *std::find_if(corner.question.hardpoints.begin(), corner.question.hardpoints.end(),
                         [&](const HardpointRecipe& one) { return one.name == name; });
  };
  const auto place_mm = [&](const std::string& name) -> const Vector3d& {
    return corner
        .pivots_vehicle_mm[static_cast<std::size_t>(&recipe(name) - corner.question.hardpoints.data())];
  };
  const Vector3d& low_mm = place_mm("strut_axis_low");
  const Vector3d& top_mm = place_mm("strut_top_mount");
  const Vector3d outwards = (top_mm - low_mm).cross(Vector3d::UnitX()).normalized();
  auto& tags = corner.truth.world_from_tag;
  const int first_tag = std::get<TagOffset>(recipe("strut_axis_low").way).tag;
  const int second_tag = static_cast<int>(tags.size());
  tags[static_cast<std::size_t>(first_tag)] = simulation::facing(low_mm + stand_off_mm * outwards, outwards);
  tags.push_back(simulation::facing(0.5 * (low_mm + top_mm) + stand_off_mm * outwards, outwards));
  recipe("strut_axis_low").way = TagTube{{first_tag, second_tag}, stand_off_mm, 5.0};
  recipe("strut_top_mount").way = ByHand{top_mm, Vector3d::Constant(50.0)};

  const NetworkInput input = photographed(corner, 14);
  const Network network = adjust_network(input);
  const Located located = locate(network, corner.question);
  const auto low = &recipe("strut_axis_low") - corner.question.hardpoints.data();
  Eigen::MatrixXd by_points = Eigen::MatrixXd::Zero(3, located.by_tags.rows());
  by_points.middleCols<3>(3 * low).setIdentity();
  const auto parts = measured_by_hand({network, located, nullptr, edge_quality(input.photos), 3}, by_points);
  ASSERT_EQ(parts.size(), 1u);
  EXPECT_EQ(parts[0].words, "the stand-off of the lower end of the strut's axis");
  EXPECT_EQ(parts[0].way, "axis of the tube with tags 9 and 13");
  EXPECT_EQ(parts[0].tag, -1);
  EXPECT_NEAR(parts[0].sigma_mm, 5.0, 0.1);
}

TEST(PlanShots, AsksForThePhoneTurnedWhenItNeverWas) {
  const Corner corner = made_up_corner();
  NetworkInput input = photographed(corner, 28);
  std::vector<PhotoSightings> across;  // every other photo of the simulation is upright
  for (std::size_t i = 0; i < input.photos.size(); i += 2) across.push_back(input.photos[i]);
  input.photos = across;
  const Network network = adjust_network(input);
  const Located hardpoints = locate(network, corner.question);
  const ShotPlan plan = plan_shots({network, hardpoints, nullptr, edge_quality(input.photos), 1});
  ASSERT_FALSE(plan.weak.empty());
  EXPECT_EQ(
      plan.weak.back(),
      "14 of 14 photos have the phone on its side: take some with it upright, that tells the lens better.");
  Network turned = network;  // as if the phone's long side were the pictures' height
  for (LensEstimate& lens : turned.lenses) std::swap(lens.width_px, lens.height_px);
  const ShotPlan of_turned = plan_shots({turned, hardpoints, nullptr, edge_quality(input.photos), 1});
  EXPECT_EQ(
      of_turned.weak.back(),
      "14 of 14 photos have the phone upright: take some with it on its side, that tells the lens better.");
}

}  // namespace
}  // namespace pivotfix
