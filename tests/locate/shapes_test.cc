// SPDX-License-Identifier: Apache-2.0
// Rings, tubes, planes and the pointer's tip against made-up truth.
#include "locate/shapes.h"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <random>

#include "base/keep_larger.h"
#include "base/problem.h"
#include "locate/moving_corner.h"
#include "locate/pointer.h"
#include "locate/traced_network.h"

namespace pivotfix {
namespace {

using Eigen::MatrixXd;
using Eigen::Vector3d;

// Points whose three coordinates are the inputs, moved by noise of this standard deviation.
struct MadeUpPoints {
  std::vector<Traced> points{};
  MatrixXd covariance{};
};
MadeUpPoints made_up(const std::vector<Vector3d>& places, double sigma_mm, unsigned seed) {
  std::mt19937 random(seed);
  std::normal_distribution<double> normal;
  MadeUpPoints made;
  const auto inputs = static_cast<Eigen::Index>(3 * places.size());
  for (std::size_t i = 0; i < places.size(); ++i) {
    Traced point{places[i], MatrixXd::Zero(3, inputs)};
    for (int k = 0; k < 3; ++k) point.value[k] += sigma_mm * normal(random);
    point.by_inputs.block<3, 3>(0, static_cast<Eigen::Index>(3 * i)).setIdentity();
    made.points.push_back(point);
  }
  made.covariance = MatrixXd::Identity(inputs, inputs) * std::max(1e-12, sigma_mm * sigma_mm);
  return made;
}

double normalised_square(const Vector3d& error, const Traced& found, const MatrixXd& covariance) {
  const Eigen::Matrix3d spread = found.by_inputs * covariance * found.by_inputs.transpose();
  return error.dot(spread.ldlt().solve(error)) / 3.0;
}

const Vector3d ring_centre(120, 640, 250);
const Vector3d ring_axis = Vector3d(0.1, 1.0, -0.05).normalized();

std::vector<Vector3d> ring_places(const std::vector<double>& angles) {
  const Vector3d first = ring_axis.cross(Vector3d::UnitZ()).normalized(), second = ring_axis.cross(first);
  std::vector<Vector3d> places;
  for (const double angle : angles)
    places.push_back(ring_centre + 45.0 * (std::cos(angle) * first + std::sin(angle) * second));
  return places;
}

TEST(RingThrough, FindsCentreAxisAndRadiusOfExactTags) {
  for (const auto& angles :
       {std::vector<double>{0.2, 1.9, 4.4}, std::vector<double>{0.0, 1.0, 2.0, 3.5, 5.0}}) {
    const MadeUpPoints made = made_up(ring_places(angles), 0.0, 1);
    const Ring ring = ring_through(made.points, Vector3d::UnitY(), made.covariance, "a joint");
    EXPECT_LT((ring.centre.value - ring_centre).norm(), 1e-6);
    EXPECT_LT((ring.direction.value - ring_axis).norm(), 1e-9);
    EXPECT_NEAR(ring.radius_mm, 45.0, 1e-6);
    EXPECT_EQ(ring.check.freedom, 2 * static_cast<int>(angles.size()) - 6);
  }
}

TEST(RingThrough, StatesItsUncertainty) {
  double sum = 0.0;
  constexpr unsigned runs = 400;
  for (unsigned seed = 1; seed <= runs; ++seed) {
    const MadeUpPoints made = made_up(ring_places({0.0, 1.1, 2.6, 4.4}), 0.05, seed);
    const Ring ring = ring_through(made.points, Vector3d::UnitY(), made.covariance, "a joint");
    sum += normalised_square(ring.centre.value - ring_centre, ring.centre, made.covariance);
  }
  EXPECT_GT(sum / runs, 0.8);
  EXPECT_LT(sum / runs, 1.25);
}

// Stuck on by eye: each tag somewhere else by this, in every axis by itself.
std::vector<Vector3d> stuck_by_eye(std::vector<Vector3d> places, double sigma_mm, unsigned seed) {
  std::mt19937 random(1000 + seed);
  std::normal_distribution<double> normal(0.0, sigma_mm);
  for (Vector3d& place : places)
    for (int k = 0; k < 3; ++k) place[k] += normal(random);
  return places;
}

// Mean squared misses and stated variances of a point behind the shape's own, over many tries; the stated
// ones from the photos' noise alone, and with what the tags scatter.
struct Tried {
  double missed_mm2 = 0.0, by_noise_mm2 = 0.0, stated_mm2 = 0.0;
};
void add_try(const Traced& point, const Traced& direction, const ShapeScatter& scatter, double behind_mm,
             const Vector3d& truth, const MatrixXd& covariance, Tried& tried) {
  const Traced found = point - behind_mm * direction;
  Eigen::Matrix<double, 3, 6> by_shape;
  by_shape << Eigen::Matrix3d::Identity(), -behind_mm * Eigen::Matrix3d::Identity();
  tried.missed_mm2 += (found.value - truth).squaredNorm();
  const double noise_mm2 = (found.by_inputs * covariance * found.by_inputs.transpose()).trace();
  tried.by_noise_mm2 += noise_mm2;
  tried.stated_mm2 += noise_mm2 + (by_shape * scatter * by_shape.transpose()).trace();
}

TEST(RingThrough, StatesWhatTagsStuckOnByEyeDo) {
  constexpr double behind_mm = 40.0;
  for (const auto& angles :
       {std::vector<double>{0.0, 1.5, 3.1, 4.6}, std::vector<double>{0, 1, 2, 3, 4, 5}}) {
    Tried tried;
    for (unsigned seed = 1; seed <= 400; ++seed) {
      const MadeUpPoints made = made_up(stuck_by_eye(ring_places(angles), 1.0, seed), 0.05, seed);
      const Ring ring = ring_through(made.points, Vector3d::UnitY(), made.covariance, "a joint");
      add_try(ring.centre, ring.direction, ring.scatter, behind_mm, ring_centre - behind_mm * ring_axis,
              made.covariance, tried);
    }
    EXPECT_NEAR(tried.stated_mm2 / tried.missed_mm2, 1.0, 0.2) << angles.size();
    EXPECT_LT(tried.by_noise_mm2, 0.02 * tried.missed_mm2) << "the photos' noise is not what counts";
  }
}

TEST(RingThrough, TakesNoScatterFromTagsThatLieOnTheirCircle) {
  int scattered = 0;
  for (unsigned seed = 1; seed <= 400; ++seed) {
    const MadeUpPoints made = made_up(ring_places({0.0, 1.1, 2.6, 4.4}), 0.05, seed);
    scattered +=
        ring_through(made.points, Vector3d::UnitY(), made.covariance, "a joint").check.scatter_mm > 0.0;
  }
  EXPECT_LE(scattered, 3);
}

TEST(LineThrough, StatesWhatTagsStuckOnByEyeDo) {
  const Vector3d low(10, 650, 430), along = Vector3d(-0.05, -0.15, 1.0).normalized();
  constexpr double beyond_mm = 300.0;  // the strut's top
  Tried tried;
  for (unsigned seed = 1; seed <= 400; ++seed) {
    const MadeUpPoints made = made_up(
        stuck_by_eye({low, low + 70 * along, low + 140 * along, low + 180 * along}, 0.7, seed), 0.05, seed);
    const TubeLine line = line_through(made.points, made.covariance, "the strut");
    const double back_mm = along.dot(line.low.value - low);  // its place along the line is its own
    add_try(line.low, line.direction, line.scatter, -beyond_mm, low + (back_mm + beyond_mm) * along,
            made.covariance, tried);
  }
  EXPECT_NEAR(tried.stated_mm2 / tried.missed_mm2, 1.0, 0.2);
  EXPECT_LT(tried.by_noise_mm2, 0.02 * tried.missed_mm2);
}

TEST(LineThrough, FindsTheAxisOfExactTags) {
  const Vector3d low(10, 650, 430), along = Vector3d(-0.05, -0.15, 1.0).normalized();
  const MadeUpPoints made = made_up({low, low + 70 * along, low + 180 * along}, 0.0, 1);
  const TubeLine line = line_through(made.points, made.covariance, "the strut");
  EXPECT_LT((line.low.value - low).norm(), 1e-6);
  EXPECT_LT((line.direction.value - along).norm(), 1e-9);
  EXPECT_EQ(line.check.freedom, 2);
}

TEST(LineThrough, StatesItsUncertainty) {
  const Vector3d low(10, 650, 430), along = Vector3d(-0.05, -0.15, 1.0).normalized();
  double sum = 0.0;
  constexpr unsigned runs = 400;
  for (unsigned seed = 1; seed <= runs; ++seed) {
    const MadeUpPoints made = made_up({low, low + 70 * along, low + 180 * along}, 0.05, seed);
    const TubeLine line = line_through(made.points, made.covariance, "the strut");
    sum += normalised_square(line.low.value - low, line.low, made.covariance);
  }
  EXPECT_GT(sum / runs, 0.8);
  EXPECT_LT(sum / runs, 1.25);
}

TEST(PlaneThrough, TurnsWithItsPointsAsItSays) {
  const MadeUpPoints made = made_up(ring_places({0.0, 1.1, 2.6, 4.4}), 0.0, 1);
  const Traced normal = plane_through(made.points, Vector3d::UnitY(), "a face");
  EXPECT_LT((normal.value - ring_axis).norm(), 1e-9);
  constexpr double step = 1e-3;
  for (int input = 0; input < 12; ++input) {
    std::vector<Traced> moved = made.points;
    moved[input / 3].value[input % 3] += step;
    const Vector3d by = (plane_through(moved, Vector3d::UnitY(), "a face").value - normal.value) / step;
    EXPECT_LT((by - normal.by_inputs.col(input)).norm(), 1e-5) << input;
  }
}

std::string refusal_of(const std::function<void()>& work) {
  try {
    work();
  } catch (const Problem& problem) {
    EXPECT_EQ(problem.kind(), ProblemKind::refused);
    EXPECT_FALSE(problem.remedy().empty());
    return problem.what_happened();
  }
  return "not refused";
}

void expect_refusal(const std::function<void()>& work, const std::string& sentence) {
  EXPECT_EQ(refusal_of(work), sentence);
}

TEST(Shapes, RefuseWhatCannotWork) {
  const MadeUpPoints two = made_up(ring_places({0.0, 1.1}), 0.0, 1);
  expect_refusal([&] { ring_through(two.points, Vector3d::UnitY(), two.covariance, "the rod end"); },
                 "The ring for the rod end has 2 tags; three make a circle.");
  const MadeUpPoints row = made_up({{0, 0, 0}, {40, 0, 0}, {80, 1, 0}}, 0.0, 1);
  expect_refusal([&] { ring_through(row.points, Vector3d::UnitZ(), row.covariance, "the rod end"); },
                 "The ring's tags for the rod end lie almost in one line.");
  const MadeUpPoints near = made_up({{0, 0, 0}, {0, 0, 45}}, 0.0, 1);
  expect_refusal([&] { line_through(near.points, near.covariance, "strut_axis_low"); },
                 "The tags for strut_axis_low are only 45 mm apart along it; 60 mm are needed.");
}

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
