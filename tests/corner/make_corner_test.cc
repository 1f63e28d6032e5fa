// SPDX-License-Identifier: Apache-2.0
// What cannot be a corner is refused by name.
#include <gtest/gtest.h>

#include <functional>
#include <limits>

#include "base/problem.h"
#include "corner/corner.h"
#include "example_corners.h"

namespace pivotfix {
namespace {

std::string refusal_of(const HardpointSet& set) {
  try {
    make_corner(set);
  } catch (const Problem& problem) {
    EXPECT_EQ(problem.kind(), ProblemKind::refused);
    EXPECT_FALSE(problem.remedy().empty());
    return problem.what_happened();
  }
  return "accepted";
}

Eigen::Vector3d& point(HardpointSet& set, const char* name) {
  return set.points[set.index_of(name)].position_vehicle_mm;
}

TEST(MakeCorner, RefusesByName) {
  struct Wrong {
    const char* says;
    std::function<void(HardpointSet&)> spoil;
  };
  const auto scale = [](double factor) {
    return [factor](HardpointSet& set) {
      for (Hardpoint& p : set.points) p.position_vehicle_mm *= factor;
    };
  };
  const Wrong wrongs[] = {
      {"lacks the front pivot of the lower arm (lower_arm_front_pivot) and the wheel centre (wheel_centre).",
       [](HardpointSet& set) {
         set.points.erase(set.points.begin());
         set.points.pop_back();
       }},
      {"The lower ball joint has a coordinate that is no number",
       [](HardpointSet& set) {
         point(set, "lower_ball_joint").z() = std::numeric_limits<double>::quiet_NaN();
       }},
      {"The inner joint of the steering link and the rod end of the steering link are the same point",
       [](HardpointSet& set) { point(set, "link_outer_joint") = point(set, "link_inner_joint"); }},
      {"The pivots of the lower arm are only",
       [](HardpointSet& set) {
         point(set, "lower_arm_rear_pivot") = point(set, "lower_arm_front_pivot") + Eigen::Vector3d(5, 0, 0);
       }},
      {"The lower arm lies in one line: the lower ball joint is only",
       [](HardpointSet& set) {
         point(set, "lower_arm_front_pivot") = point(set, "lower_ball_joint") + Eigen::Vector3d(300, 0, 0);
         point(set, "lower_arm_rear_pivot") = point(set, "lower_ball_joint") - Eigen::Vector3d(200, 0, 0);
       }},
      {"The steering link points at the steering axis",
       [](HardpointSet& set) {
         point(set, "link_inner_joint").x() = 0.0;
         point(set, "link_outer_joint").x() = 0.0;
       }},
      {"The steering link does not run across the car",
       [](HardpointSet& set) {
         point(set, "link_inner_joint") = point(set, "link_outer_joint") - Eigen::Vector3d(300, 0, 0);
       }},
      {"The front pivot of the lower arm does not lie ahead of the rear pivot of the lower arm",
       [](HardpointSet& set) {
         std::swap(point(set, "lower_arm_front_pivot"), point(set, "lower_arm_rear_pivot"));
       }},
      {"The rod end of the steering link does not lie outboard of the inner joint of the steering link",
       [](HardpointSet& set) { std::swap(point(set, "link_inner_joint"), point(set, "link_outer_joint")); }},
      {"direction of travel does not run across",
       [](HardpointSet& set) { set.rack_axis_vehicle = Eigen::Vector3d::UnitX(); }},
      {"look like micrometres", scale(1e3)},
      {"look like inches", scale(1.0 / 25.4)},
      {"look like metres", scale(1e-3)},
      {"look like inches or centimetres", scale(0.1)},
      {"The lower arm would be", scale(10.0)},
      {"apart", [](HardpointSet& set) { point(set, "link_inner_joint").y() -= 5000.0; }},
      {"These are the hardpoints of a left corner, but it is called right.",
       [](HardpointSet& set) { set.side = Side::right; }},
      {"These are the hardpoints of a right corner, but it is called left.",
       [](HardpointSet& set) {
         for (Hardpoint& p : set.points) p.position_vehicle_mm.y() *= -1.0;
       }},
      {"The wheel does not lie outboard of the lower arm's pivots.",
       [](HardpointSet& set) { point(set, "wheel_centre").y() = 100.0; }},
      {"above the lower ball joint",
       [](HardpointSet& set) {
         for (Hardpoint& p : set.points) p.position_vehicle_mm.z() *= -1.0;
       }},
      {"The inner joint of the steering link is 0.2 mm above the ground",
       [](HardpointSet& set) { point(set, "link_inner_joint").z() = 0.24; }},
      {"Toe or camber", [](HardpointSet& set) { set.wheel.toe_rad = 1.0; }},
      {"stud axis",
       [](HardpointSet& set) {
         set.rod_end = RodEnd{{0.0, 0.0, 0.0}};
       }},
      {"covariance does not fit",
       [](HardpointSet& set) { set.covariance_mm2 = Eigen::MatrixXd::Identity(6, 6); }},
  };
  for (const Layout layout : {Layout::strut, Layout::double_wishbone}) {
    ASSERT_EQ(refusal_of(example_set(layout)), "accepted");
    for (const Wrong& wrong : wrongs) {
      HardpointSet set = example_set(layout);
      wrong.spoil(set);
      const std::string says = refusal_of(set);
      // Upside down, the strut itself is what is noticed first.
      EXPECT_TRUE(says.find(wrong.says) != std::string::npos ||
                  (layout == Layout::strut &&
                   says.find("above the lower end of the strut's axis") != std::string::npos &&
                   std::string(wrong.says) == "above the lower ball joint"))
          << "expected '" << wrong.says << "', got '" << says << "'";
    }
  }
}

// Both arms stand upright and the link lies level, so all that the equations hold of the wheel's height is
// the 0.04 mm by which its centre lies outboard of the ball joints.
TEST(MakeCorner, RefusesArmsThatHoldTheWheelStill) {
  const HardpointSet upright = set_from(Layout::double_wishbone, {{100, 700, 100},
                                                                  {-100, 700, 100},
                                                                  {0, 700.01, 200},
                                                                  {100, 700, 350},
                                                                  {-100, 700, 350},
                                                                  {0, 700.01, 450},
                                                                  {-140, 350, 280},
                                                                  {-140, 700, 280},
                                                                  {0, 700.05, 310}});
  EXPECT_EQ(refusal_of(upright),
            "The corner is locked at ride height: the wheel cannot move up and down with these hardpoints.");
}

// The names that files use help only where a point must be typed in.
TEST(MakeCorner, SpeaksOfHardpointsInTheWordsOfTheWorkshop) {
  for (unsigned seed = 0; seed < 500; ++seed) {
    const HardpointSet set = random_plausible_set(all_layouts()[seed % 5], seed, 400.0);
    EXPECT_EQ(refusal_of(set).find('_'), std::string::npos) << refusal_of(set);
  }
}

TEST(MakeCorner, TakesTheBallJointAsPointOfTheStrutsAxis) {
  HardpointSet set = strut_set();
  point(set, "strut_axis_low") = point(set, "lower_ball_joint");
  EXPECT_EQ(refusal_of(set), "accepted");
}

TEST(MakeCorner, SortsPointsAndCovarianceAndMirrorsARightCorner) {
  HardpointSet set = double_wishbone_set();
  const Eigen::Index n = static_cast<Eigen::Index>(3 * set.points.size());
  set.covariance_mm2 = Eigen::MatrixXd::Identity(n, n);
  set.covariance_mm2(0, 4) = set.covariance_mm2(4, 0) = 0.3;
  const Corner expected = make_corner(set);
  HardpointSet shuffled = mirrored(set);
  std::swap(shuffled.points[0], shuffled.points[1]);
  Eigen::MatrixXd covariance = shuffled.covariance_mm2;
  covariance(0, 4) = covariance(4, 0) = 0.0;
  covariance(3, 1) = covariance(1, 3) = -0.3;
  shuffled.covariance_mm2 = covariance;
  const Corner corner = make_corner(shuffled);
  for (std::size_t i = 0; i < corner.points.size(); ++i) {
    EXPECT_EQ(corner.points[i].name, hardpoint_names(Layout::double_wishbone)[i]);
    EXPECT_EQ(corner.points[i].position_vehicle_mm, expected.points[i].position_vehicle_mm);
  }
  EXPECT_TRUE(corner.covariance_mm2 == expected.covariance_mm2);
}

TEST(MakeCorner, NeverCrashesOnNonsense) {
  for (unsigned seed = 0; seed < 2000; ++seed) {
    HardpointSet set = random_plausible_set(all_layouts()[seed % 5], seed, 300.0);
    try {
      const Curve curve = solve_curve(make_corner(set), {50.0, 50.0}, 10.0);
      for (const CornerState& state : curve.states) EXPECT_TRUE(std::isfinite(state.toe_rad)) << seed;
    } catch (const Problem& problem) {
      EXPECT_EQ(problem.kind(), ProblemKind::refused) << problem.what();
    }
  }
}

}  // namespace
}  // namespace pivotfix
