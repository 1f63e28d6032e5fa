// SPDX-License-Identifier: Apache-2.0
// The pointer's tip, and what it touches, against made-up truth.
#include "locate/pointer.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "base/keep_larger.h"
#include "locate/moving_corner.h"
#include "locate/refusals.h"
#include "locate/traced_network.h"
#include "locate/tried.h"

namespace pivotfix {
namespace {

using Eigen::MatrixXd;
using Eigen::Vector3d;

// A stick with three tags, its tip 180 mm from them, pivoted in a dent and set on a point.
struct Stick {
  Body body{"pointer", {70, 71, 72}};
  std::vector<Vector3d> tags_mm{{0, 0, 40}, {0, 0, 90}, {30, 0, 65}};
  Vector3d tip_mm{0, 5, -120};

  // The stick turned so, its tip at `place`.
  RigidTransform standing(const Eigen::Quaterniond& turn, const Vector3d& place) const {
    return {turn, place - turn * tip_mm};
  }
};

const Vector3d dent(400, 1000, 0), hidden(-40, 650, 280);

std::vector<std::pair<std::string, RigidTransform>> stands(const Stick& stick, double tilt_rad,
                                                           bool all_sides = true) {
  std::vector<std::pair<std::string, RigidTransform>> all;
  for (int i = 0; i < 6; ++i) {
    const double towards = all_sides ? i * M_PI / 3.0 : i % 2 * M_PI;
    const Vector3d axis(std::cos(towards), std::sin(towards), 0.0);
    const double tilt = all_sides ? tilt_rad : tilt_rad * (1 + i);
    all.emplace_back("ride/dent " + std::to_string(i),
                     stick.standing(Eigen::Quaterniond(Eigen::AngleAxisd(tilt, axis)), dent));
  }
  for (int i = 0; i < 2; ++i)
    all.emplace_back(
        "ride/touch " + std::to_string(i),
        stick.standing(Eigen::Quaterniond(Eigen::AngleAxisd(0.8 + 0.3 * i, Vector3d::UnitX())), hidden));
  return all;
}

Network photographed(const Stick& stick, const std::vector<std::pair<std::string, RigidTransform>>& all,
                     double sigma_mm, double photo_angle_rad, unsigned seed) {
  std::mt19937 random(seed);
  std::normal_distribution<double> normal;
  Network network;
  for (std::size_t tag = 0; tag < stick.tags_mm.size(); ++tag)
    for (const auto& [set, pose] : all) {
      TagInSpace one;
      one.number = stick.body.tags[tag];
      one.set = set;
      one.widest_angle_rad = photo_angle_rad;
      one.network_from_tag = pose * RigidTransform{Eigen::Quaterniond::Identity(), stick.tags_mm[tag]};
      for (int k = 0; k < 3; ++k) one.network_from_tag.translation_mm[k] += sigma_mm * normal(random);
      const Vector3d turn{normal(random), normal(random), normal(random)};
      one.network_from_tag.rotation =
          Eigen::Quaterniond(Eigen::AngleAxisd(0.02 * sigma_mm * turn.norm() + 1e-12, turn.normalized())) *
          one.network_from_tag.rotation;
      network.tags.push_back(one);
    }
  Eigen::VectorXd variance(6 * network.tags.size());
  const double sigma = std::max(sigma_mm, 1e-6);
  for (Eigen::Index i = 0; i < variance.size(); ++i)
    variance[i] = i % 6 < 3 ? sigma * sigma : 4e-4 * sigma * sigma;
  network.tag_covariance = variance.asDiagonal();
  return network;
}

const std::vector<std::string> dent_sets{"ride/dent 0", "ride/dent 1", "ride/dent 2",
                                         "ride/dent 3", "ride/dent 4", "ride/dent 5"};

TEST(Pointer, PutsItsTipWhereItTouchedWithTheStatedUncertainty) {
  const Stick stick;
  double sum = 0.0, largest_mm = 0.0;
  constexpr unsigned runs = 100;
  for (unsigned seed = 1; seed <= runs; ++seed) {
    const RigidNetwork rigid =
        with_rigid_bodies(photographed(stick, stands(stick, 0.5), 0.02, 1.0, seed), {stick.body});
    const TracedNetwork network(rigid.network, 0);
    const PointerTip tip = find_tip(network, stick.body, dent_sets);
    const Touched touched =
        touched_point(network, stick.body, tip, {"ride/touch 0", "ride/touch 1"}, "a hidden joint");
    EXPECT_LT(tip.residual_mm, 0.15);
    sum += normalised_square(touched.point.value - hidden, touched.point, rigid.network.tag_covariance);
    keep_larger(largest_mm, (touched.point.value - hidden).norm());
  }
  EXPECT_GT(sum / runs, 0.8);
  EXPECT_LT(sum / runs, 1.25);
  EXPECT_LT(largest_mm, 0.2);
}

// Tries with a tip that wanders in its dent and touches beside the joint, by these standard deviations.
Tried touched_by_hand(double wander_mm, double beside_mm) {
  const Stick stick;
  Tried tried;
  for (unsigned seed = 1; seed <= 100; ++seed) {
    std::mt19937 random(500 + seed);
    std::normal_distribution<double> normal;
    auto all = stands(stick, 0.5);
    for (auto& [set, pose] : all)
      for (int k = 0; k < 3; ++k)
        pose.translation_mm[k] += (set.starts_with("ride/dent") ? wander_mm : beside_mm) * normal(random);
    const RigidNetwork rigid = with_rigid_bodies(photographed(stick, all, 0.02, 1.0, seed), {stick.body});
    const TracedNetwork network(rigid.network, 0);
    const Touched touched = touched_point(network, stick.body, find_tip(network, stick.body, dent_sets),
                                          {"ride/touch 0", "ride/touch 1"}, "a hidden joint");
    ShapeScatter scatter = ShapeScatter::Zero();
    scatter.diagonal().head<3>().setConstant(std::pow(touched.unexplained_sigma_mm, 2));
    add_try(touched.point, {Vector3d::UnitX(), MatrixXd::Zero(3, network.inputs())}, scatter, 0.0, hidden,
            rigid.network.tag_covariance, tried);
  }
  return tried;
}

TEST(Pointer, StatesWhatTouchesBesideEachOtherAndAWanderingTipDo) {
  const Tried beside = touched_by_hand(0.0, 0.4);
  EXPECT_NEAR(beside.stated_mm2 / beside.missed_mm2, 1.0, 0.25);
  EXPECT_LT(beside.by_noise_mm2, 0.1 * beside.missed_mm2);
  // Its widest direction stands for all.
  const Tried wandering = touched_by_hand(0.08, 0.0);
  EXPECT_GT(wandering.stated_mm2 / wandering.missed_mm2, 0.8);
  EXPECT_LT(wandering.stated_mm2 / wandering.missed_mm2, 3.0);
  EXPECT_LT(wandering.by_noise_mm2, 0.2 * wandering.missed_mm2);
}

// Which tag holds the network's datum is chance: it must not decide whether a stick is good enough. Here the
// whole network is unsure by more than is allowed of a tip.
TEST(Pointer, JudgesItsTipByTheStickAloneWhateverHoldsTheDatum) {
  const Stick stick;
  const Network good = photographed(stick, stands(stick, 0.5), 0.02, 1.0, 1);
  const auto sigma_mm = [&](const Network& network) {
    const RigidNetwork rigid = with_rigid_bodies(network, {stick.body});
    return find_tip(TracedNetwork(rigid.network, 0), stick.body, dent_sets).sigma_mm;
  };
  const double stated_mm = sigma_mm(good);
  EXPECT_LT(stated_mm, 0.2);
  EXPECT_NEAR(sigma_mm(with_unsure_datum(good, 0.3, 0.0006)), stated_mm, 0.1 * stated_mm);
}

// A fourth tag on the stick's other face. In the first position of the dent only that one is seen, in all
// others it is not; and the photos of the first touch look from one side.
struct TurnedOnce {
  Stick stick{{"pointer", {70, 71, 72, 73}}, {{0, 0, 40}, {0, 0, 90}, {30, 0, 65}, {0, 30, 65}}};
  Network network = photographed(stick, stands(stick, 0.5), 0.0, 1.0, 1);
  HardpointQuestion question{};

  TurnedOnce() {
    std::erase_if(network.tags,
                  [](const TagInSpace& tag) { return (tag.number == 73) != (tag.set == "ride/dent 0"); });
    const auto width = static_cast<Eigen::Index>(6 * network.tags.size());
    network.tag_covariance.conservativeResize(width, width);
    for (TagInSpace& tag : network.tags)
      if (tag.set == "ride/touch 0") tag.widest_angle_rad = 0.05;
    question.bodies = {stick.body};
    question.dent_sets = dent_sets;
    question.hardpoints = {{"link_outer_joint", Touches{{"ride/touch 0", "ride/touch 1"}}}};
  }
  const std::vector<std::string>& touches() const {
    return std::get<Touches>(question.hardpoints.front().way).sets;
  }
};

TEST(Pointer, LeavesOutPositionsThatTheirPhotosDoNotTell) {
  TurnedOnce turned;
  const TracedNetwork network(turned.network, 0);
  EXPECT_EQ(
      leave_out_unusable_positions(network, turned.question),
      (std::vector<std::string>{
          "No tag of the pointer is seen both in \"ride/dent 1\" and in \"ride/dent 0\". That position "
          "in the dent is left out; the pointer's tip rests on 5 of 6. Take more photos of its tags in "
          "both.",
          "The photos of the pointer in \"touch 0\" look from almost one direction (3 degrees apart; 15 "
          "are needed). That touch is left out; link_outer_joint rests on 1 of 2. Add a photo of it from "
          "further round, with the stick held still."}));
  EXPECT_EQ(turned.question.dent_sets, std::vector<std::string>(dent_sets.begin() + 1, dent_sets.end()));
  EXPECT_EQ(turned.touches(), std::vector<std::string>{"ride/touch 1"});
  const Body& pointer = turned.question.bodies.front();
  const PointerTip tip = find_tip(network, pointer, turned.question.dent_sets);
  const Touched touched = touched_point(network, pointer, tip, turned.touches(), "a hidden joint");
  EXPECT_LT((touched.point.value - hidden).norm(), 1e-3);
}

TEST(Pointer, LeavesNoPositionOutWhereTooFewWouldBeLeft) {
  TurnedOnce turned;
  const TracedNetwork network(turned.network, 0);
  turned.question.dent_sets.resize(3);
  const HardpointQuestion asked = turned.question;
  EXPECT_TRUE(leave_out_unusable_positions(network, turned.question).empty());
  EXPECT_EQ(turned.question.dent_sets, asked.dent_sets);
  expect_refusal([&] { find_tip(network, turned.stick.body, turned.question.dent_sets); },
                 "No tag of the pointer is seen both in \"ride/dent 0\" and in \"ride/dent 1\".");
  TurnedOnce touched_once;
  touched_once.question.hardpoints = {{"link_outer_joint", Touches{{"ride/touch 0"}}}};
  EXPECT_EQ(leave_out_unusable_positions(network, touched_once.question).size(), 1U);  // that in the dent
  EXPECT_EQ(touched_once.touches(), std::vector<std::string>{"ride/touch 0"});
}

TEST(Pointer, RefusesWhatCannotWork) {
  const Stick stick;
  const Network good = photographed(stick, stands(stick, 0.5), 0.0, 1.0, 1);
  expect_refusal(
      [&] {
        find_tip(TracedNetwork(good, 0), stick.body, {"ride/dent 0", "ride/dent 1"});
      },
      "The pointer stands in the dent in 2 positions; three are the least, six are good.");
  const Network parallel = photographed(stick, stands(stick, 0.5), 0.0, 0.05, 1);
  expect_refusal([&] { find_tip(TracedNetwork(parallel, 0), stick.body, dent_sets); },
                 "The photos of the pointer in \"dent 0\" look from almost one direction (3 degrees apart; "
                 "15 are needed).");
  Network unseen = good;  // the set with one photo of the pointer only: nothing of it there
  const PointerTip tip = find_tip(TracedNetwork(good, 0), stick.body, dent_sets);
  for (TagInSpace& tag : unseen.tags)
    if (tag.set == "ride/touch 0") tag.set = "ride/touch elsewhere";
  expect_refusal(
      [&] { touched_point(TracedNetwork(unseen, 0), stick.body, tip, {"ride/touch 0"}, "a hidden joint"); },
      "No tag of the pointer is in two photos of \"touch 0\".");
  const Network rocked = photographed(stick, stands(stick, 0.1, false), 0.02, 1.0, 1);
  expect_refusal([&] { find_tip(TracedNetwork(rocked, 0), stick.body, dent_sets); },
                 "The pointer was tilted too little, or one way only: nothing tells where its tip is.");
  const Network upright = photographed(stick, stands(stick, 0.06), 0.05, 1.0, 1);
  const std::string unsure = refusal_of([&] { find_tip(TracedNetwork(upright, 0), stick.body, dent_sets); });
  EXPECT_TRUE(unsure.starts_with("The pointer's tip is uncertain by ")) << unsure;
  auto slipped = stands(stick, 0.5);
  slipped[2].second.translation_mm.x() += 3.0;
  const Network loose = photographed(stick, slipped, 0.0, 1.0, 1);
  const std::string moved = refusal_of([&] { find_tip(TracedNetwork(loose, 0), stick.body, dent_sets); });
  EXPECT_TRUE(moved.starts_with("The pointer's tip did not stay in the dent: it moved by ")) << moved;
}

}  // namespace
}  // namespace pivotfix
