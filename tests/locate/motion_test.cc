// SPDX-License-Identifier: Apache-2.0
// Joints from the motion of tagged parts. Simbody moves the parts; no tag is seen by any camera here.
#include "locate/motion.h"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>

#include "base/problem.h"
#include "base/units.h"
#include "corner/example_corners.h"
#include "locate/moving_corner.h"
#include "locate/traced_network.h"

namespace pivotfix {
namespace {

using Eigen::MatrixXd;
using Eigen::Vector3d;

constexpr TagNoise exact{};
constexpr TagNoise usual{0.015, 0.0004};

struct Seen {
  Seen(const MovingCorner& moving, const std::vector<Stand>& stands, const TagNoise& noise, unsigned seed)
      : corner(moving),
        rigid(with_rigid_bodies(made_up_network(corner, stands, noise, seed), corner.bodies)),
        traced(rigid.network, 0) {}

  std::vector<RelativeMotion> motions(const std::string& part, const std::string& seen_from,
                                      const std::vector<std::string>& but_not = {}) const {
    const std::string reference = part == "hub" ? "ride/" : "ride";
    return traced.motions(corner.body(part), seen_from == "car" ? Body{} : corner.body(seen_from), reference,
                          but_not);
  }
  const MatrixXd& covariance() const { return rigid.network.tag_covariance; }
  Vector3d in_vehicle(const Vector3d& point_network) const {
    return network_from_vehicle.inverse() * point_network;
  }
  Vector3d truth(const std::string& name) const {
    return network_from_vehicle * corner.truth.position_vehicle_mm(name);
  }
  Vector3d near(const std::string& name) const { return truth(name) + Vector3d(12, -9, 15); }

  const MovingCorner& corner;
  RigidNetwork rigid;
  TracedNetwork traced;
};

const MovingCorner& strut() {
  static const MovingCorner corner = moving_corner(Layout::strut);
  return corner;
}
const MovingCorner& wishbones() {
  static const MovingCorner corner = moving_corner(Layout::double_wishbone);
  return corner;
}

double miss_mm(const Seen& seen, const SharedPoint& found, const std::string& name) {
  return (found.point.value - seen.truth(name)).norm();
}

TEST(SharedPoint, IsTheBallJointOfExactParts) {
  const Seen seen(strut(), five_heights(), exact, 1);
  const auto joint = [&](const char* part, const char* other, const char* name) {
    return shared_point(seen.motions(part, other), seen.near(name), seen.covariance(), name);
  };
  EXPECT_LT(miss_mm(seen, joint("lower_arm", "knuckle", "lower_ball_joint"), "lower_ball_joint"), 1e-3);
  EXPECT_LT(miss_mm(seen, joint("link", "knuckle", "link_outer_joint"), "link_outer_joint"), 1e-3);
  EXPECT_LT(miss_mm(seen, joint("link", "car", "link_inner_joint"), "link_inner_joint"), 1e-3);
  const Seen other(wishbones(), five_heights(), exact, 1);
  EXPECT_LT(miss_mm(other,
                    shared_point(other.motions("upper_arm", "knuckle"), other.near("upper_ball_joint"),
                                 other.covariance(), "upper_ball_joint"),
                    "upper_ball_joint"),
            1e-3);
}

TEST(SharedPoint, NamesTheDirectionThatSteeringStraightAheadLeavesOpen) {
  const Seen seen(strut(), five_heights(), usual, 1);
  const SharedPoint found = shared_point(seen.motions("lower_arm", "knuckle"), seen.near("lower_ball_joint"),
                                         seen.covariance(), "lower_ball_joint");
  const WeakDirection weak = weakest(found.point, seen.covariance(), found.open_mm2);
  const Vector3d along = network_from_vehicle.rotation.conjugate() * weak.direction;
  EXPECT_GT(std::abs(along.x()), 0.95);  // the axis that arm and knuckle turn about
  EXPECT_GT(weak.sigma_mm, 0.3);
  const Seen steered(strut(), five_heights_and_steered(), usual, 1);
  const SharedPoint known =
      shared_point(steered.motions("lower_arm", "knuckle"), steered.near("lower_ball_joint"),
                   steered.covariance(), "lower_ball_joint");
  EXPECT_LT(weakest(known.point, steered.covariance(), known.open_mm2).sigma_mm, 0.1);
}

TEST(TurningAxis, IsTheHingeOfExactParts) {
  for (const MovingCorner* corner : {&strut(), &wishbones()}) {
    const Seen seen(*corner, five_heights(), exact, 1);
    for (const std::string arm : {"lower_arm", "upper_arm"}) {
      if (arm == "upper_arm" && corner == &strut()) continue;
      const TurningAxis axis =
          turning_axis(seen.motions(arm, "car"), seen.traced.middle_of(seen.corner.body(arm), "ride").value,
                       seen.covariance(), arm);
      const Vector3d front = seen.truth(arm + "_front_pivot"), rear = seen.truth(arm + "_rear_pivot");
      EXPECT_LT(axis.direction.value.cross((front - rear).normalized()).norm(), 1e-6);
      EXPECT_LT(axis.direction.value.cross(axis.point.value - front).norm(), 1e-3);
    }
  }
}

TEST(TurningAxis, IsTheSpinAxisOfATurnedHubAtOneHeight) {
  const Seen seen(strut(), {{}, {"ride/a", 0, 0, 0, 0.8}, {"ride/b", 0, 0, 0, 1.7}}, exact, 1);
  const TurningAxis axis = turning_axis(seen.motions("hub", "knuckle"), seen.near("wheel_centre"),
                                        seen.covariance(), "the spin axis");
  EXPECT_LT(axis.direction.value.cross(network_from_vehicle.rotation * seen.corner.spin_axis()).norm(), 1e-6);
}

TEST(SlidingAxis, IsTheStrutThroughItsTopMountOfExactParts) {
  const Seen seen(strut(), five_heights(), exact, 1);
  const Vector3d top = seen.truth("strut_top_mount"), low = seen.truth("strut_axis_low");
  const SlidingAxis axis =
      sliding_axis(seen.motions("knuckle", "car"), seen.near("strut_top_mount"),
                   seen.near("strut_top_mount") - low, seen.covariance(), "the strut's axis");
  EXPECT_LT((axis.mount.value - top).norm(), 2e-2);
  EXPECT_LT(axis.direction.value.cross((top - low).normalized()).norm(), 1e-5);
}

// Equal parallel arms: arm and knuckle turn about exactly parallel lines, so nothing tells where on its line
// the joint sits. The search must not pass its own start off as knowledge.
TEST(SharedPoint, IsOpenByTheWholeReachWhereTheMotionTellsNothing) {
  Parallelogram arms;
  arms.link_across_mm = arms.arm_mm;  // the link too: no steer, no turn about another line
  const MovingCorner corner = moving_corner(arms.set());
  for (const TagNoise& noise : {exact, usual}) {
    const Seen seen(corner, five_heights(), noise, 1);
    const SharedPoint found =
        shared_point(seen.motions("lower_arm", "knuckle"), seen.near("lower_ball_joint"), seen.covariance(),
                     "lower_ball_joint");
    const WeakDirection weak = weakest(found.point, seen.covariance(), found.open_mm2);
    EXPECT_GT(std::abs((network_from_vehicle.rotation.conjugate() * weak.direction).x()), 0.99);
    EXPECT_GT(weak.sigma_mm, noise.turn_rad == 0.0 ? 250.0 : 10.0);
    const double off_mm = weak.direction.dot(found.point.value - seen.truth("lower_ball_joint"));
    EXPECT_LT(std::abs(off_mm), 3.0 * weak.sigma_mm);
  }
}

TEST(WithRigidBodies, LeavesAChiSquareThatItsFreedomExplains) {
  double square = 0.0, freedom = 0.0;
  for (unsigned seed = 1; seed <= 20; ++seed) {
    const Seen seen(strut(), five_heights(), usual, seed);
    for (const BodyFit& fit : seen.rigid.fits) {
      EXPECT_FALSE(fit.doubtful) << fit.name;
      square += fit.chi_square;
      freedom += fit.freedom;
    }
  }
  EXPECT_GT(freedom, 20 * 100);
  EXPECT_NEAR(square / freedom, 1.0, 4.0 * std::sqrt(2.0 / freedom));
}

TEST(WithRigidBodies, NamesATagThatSlippedOnItsPart) {
  Network network = made_up_network(strut(), five_heights(), usual, 3);
  const int slipped = network.index_of_tag(46, "up 20");
  network.tags[slipped].network_from_tag.translation_mm.x() += 0.4;
  for (const BodyFit& fit : with_rigid_bodies(network, strut().bodies).fits) {
    EXPECT_EQ(fit.doubtful, fit.name == "lower_arm") << fit.name;
    if (fit.doubtful) {
      EXPECT_EQ(fit.worst_tag, 46);
    }
  }
}

// Oracle: the same network where the tag was never said to be on that part.
TEST(WithRigidBodies, LeavesATagThatSlippedOutOfItsPart) {
  Network network = made_up_network(strut(), five_heights(), usual, 3);
  for (const char* set : {"up 20", "up 40"})
    network.tags[network.index_of_tag(44, set)].network_from_tag.translation_mm.y() += 0.5;
  std::vector<Body> never_named = strut().bodies;
  for (Body& body : never_named) std::erase(body.tags, 44);
  const RigidNetwork found = with_rigid_bodies(network, strut().bodies);
  const RigidNetwork expected = with_rigid_bodies(network, never_named);
  for (std::size_t i = 0; i < never_named.size(); ++i) {
    EXPECT_EQ(found.bodies[i].tags, never_named[i].tags) << never_named[i].name;
    EXPECT_EQ(found.fits[i].slipped_tag, never_named[i].name == "lower_arm" ? 44 : -1);
  }
  ASSERT_EQ(found.network.tags.size(), expected.network.tags.size());
  for (std::size_t i = 0; i < expected.network.tags.size(); ++i)
    EXPECT_LT((found.network.tags[i].network_from_tag.translation_mm -
               expected.network.tags[i].network_from_tag.translation_mm)
                  .norm(),
              1e-9);
  EXPECT_LT((found.network.tag_covariance - expected.network.tag_covariance).cwiseAbs().maxCoeff(), 1e-12);
}

// Tags that all wander three times as far as the photos say: distances on the part, which the conditions
// average over the sets, must not be stated three times too sure.
TEST(WithRigidBodies, CountsTheTagsOfAPartThatDoesNotKeepItsShapeAsLessCertain) {
  constexpr TagNoise three_times{0.045, 0.0012};
  std::vector<Vector3d> places_mm;
  for (const CornerTag& tag : strut().tags)
    if (tag.number == 44 || tag.number == 47)
      places_mm.push_back(tag.vehicle_from_tag_at_ride.translation_mm);
  const double true_mm = (places_mm.at(0) - places_mm.at(1)).norm();
  double squares = 0.0;
  constexpr unsigned runs = 40;
  for (unsigned seed = 1; seed <= runs; ++seed) {
    Network network = made_up_network(strut(), five_heights(), three_times, seed);
    network.tag_covariance /= 9.0;
    const RigidNetwork rigid = with_rigid_bodies(network, {strut().body("lower_arm")});
    EXPECT_GT(rigid.fits.front().slack_mm, 0.02);
    const TracedNetwork traced(rigid.network, 0);
    const Traced apart = traced.centre(44, "ride", "a tag") - traced.centre(47, "ride", "a tag");
    const Eigen::RowVectorXd by_inputs = apart.value.normalized().transpose() * apart.by_inputs;
    squares += std::pow(apart.value.norm() - true_mm, 2) /
               (by_inputs * rigid.network.tag_covariance * by_inputs.transpose()).value();
  }
  EXPECT_GT(squares / runs, 0.5);
  EXPECT_LT(squares / runs, 1.8);
}

TEST(WithRigidBodies, PutsAHiddenTagWhereItsFellowsSay) {
  const MovingCorner& corner = strut();
  Network network = made_up_network(corner, five_heights(), exact, 1);
  const int hidden = network.index_of_tag(41, "up 40");
  const RigidTransform truth = network.tags[hidden].network_from_tag;
  network.tags.erase(network.tags.begin() + hidden);
  network.tag_covariance.conservativeResize(6 * network.tags.size(), 6 * network.tags.size());
  const RigidNetwork rigid = with_rigid_bodies(network, corner.bodies);
  const Network& whole = rigid.network;
  const int found = whole.index_of_tag(41, "up 40");
  ASSERT_GE(found, 0);
  EXPECT_LT((whole.tags[found].network_from_tag.translation_mm - truth.translation_mm).norm(), 1e-3);
}

// What asks which photos would help goes back to the tags that were seen, fewer than there are in the end.
TEST(WithRigidBodies, SaysHowItsTagsHangOnThoseThatWereSeen) {
  const MovingCorner& corner = strut();
  Network network = made_up_network(corner, five_heights(), usual, 1);
  network.tags.erase(network.tags.begin() + network.index_of_tag(41, "up 40"));
  network.tag_covariance.conservativeResize(6 * network.tags.size(), 6 * network.tags.size());
  const RigidNetwork rigid = with_rigid_bodies(network, corner.bodies);
  ASSERT_EQ(rigid.by_tags.cols(), 6 * static_cast<Eigen::Index>(network.tags.size()));
  ASSERT_EQ(rigid.by_tags.rows(), 6 * static_cast<Eigen::Index>(rigid.network.tags.size()));
  const MatrixXd carried = rigid.by_tags * network.tag_covariance * rigid.by_tags.transpose();
  const Eigen::VectorXd sigma = rigid.network.tag_covariance.diagonal().cwiseSqrt();
  const MatrixXd miss = sigma.cwiseInverse().asDiagonal() * (carried - rigid.network.tag_covariance) *
                        sigma.cwiseInverse().asDiagonal();
  EXPECT_LT(miss.cwiseAbs().maxCoeff(), 1e-5);
}

void expect_refusal(const std::function<void()>& work, const std::string& sentence) {
  try {
    work();
    FAIL() << "not refused: " << sentence;
  } catch (const Problem& problem) {
    EXPECT_EQ(problem.kind(), ProblemKind::refused);
    EXPECT_EQ(problem.what_happened(), sentence);
    EXPECT_FALSE(problem.remedy().empty());
  }
}

TEST(Motion, RefusesHeightsTooCloseTogetherForAnAxis) {
  const Seen seen(strut(), {{}, {"up 5", 5, 0, 0, 0}}, exact, 1);
  expect_refusal(
      [&] {
        turning_axis(seen.motions("lower_arm", "car"), seen.near("lower_arm_front_pivot"), seen.covariance(),
                     "the lower arm's axis");
      },
      "The heights are too close together for the lower arm's axis: the part turned by 0.8 degrees at most; "
      "2 are needed.");
}

TEST(Motion, RefusesABallJointFromTwoHeights) {
  const Seen seen(strut(), {{}, {"up 40", 40, 0, 0, 0}}, exact, 1);
  expect_refusal(
      [&] {
        shared_point(seen.motions("link", "car"), seen.near("link_inner_joint"), seen.covariance(),
                     "link_inner_joint");
      },
      "The motion for link_inner_joint is seen at 2 heights; 3 are the least.");
}

}  // namespace
}  // namespace pivotfix
