// SPDX-License-Identifier: Apache-2.0
// Joints from the motion of tagged parts. Simbody moves the parts; no tag is seen by any camera here.
#include "locate/motion.h"

#include <gtest/gtest.h>

#include <cmath>

#include "corner/example_corners.h"
#include "locate/moving_corner.h"
#include "locate/refusals.h"
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
