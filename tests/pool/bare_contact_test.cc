// SPDX-License-Identifier: Apache-2.0
// Cars whose rod ends differ by nothing but their spacers. Oracle: the one rod end that all were made from,
// and what each car's own geometry asks for.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "advice/height.h"
#include "advice/made_up_sets.h"
#include "pool/made_up_club.h"

namespace pivotfix {
namespace {

using Eigen::Vector3d;

constexpr double sigma = 0.1;  // mm
const Vector3d stud = Vector3d(0.04, 0.09, 1.0).normalized();

struct OnTheStud {
  double between_mm = 0.0;
  RodEndMount mount = RodEndMount::below_arm;
  double neck_mm = 0.0;  // of high-misalignment spacers; zero: none
};

// Spacers push a rod end away from its arm.
PoolMember car_with(const std::string& label, const OnTheStud& on) {
  HardpointSet set = strut_set();
  const double down = on.mount == RodEndMount::below_arm ? 1.0 : -1.0;
  set.points[set.index_of("link_outer_joint")].position_vehicle_mm -=
      down * (on.between_mm + on.neck_mm) * stud;
  set.wheel = {};  // of toe the pool knows nothing, and it changes the best height by half a micrometre
  set.covariance_mm2 = sigma * sigma * Eigen::MatrixXd::Identity(24, 24);
  set.rod_end = RodEnd{};
  set.rod_end->stud_axis_vehicle = stud;
  set.rod_end->mount = on.mount;
  if (on.between_mm > 0.0) set.rod_end->between_now = {{on.between_mm / 2.0, 2, ""}};
  if (on.neck_mm > 0.0) set.rod_end->high_misalignment = HighMisalignmentSpacers{on.neck_mm, 15.0, true, ""};
  set.record.car = label;
  return {label, set, {}};
}

PoolMember car_that_says_nothing(const Vector3d& rod_end_off_mm) {
  PoolMember car = car_with("quiet car", {});
  car.set.points[car.set.index_of("link_outer_joint")].position_vehicle_mm += rod_end_off_mm;
  car.set.rod_end.reset();
  return car;
}

const PooledPoint& rod_end_of(const Pool& pooled) {
  return *std::find_if(pooled.points.begin(), pooled.points.end(),
                       [](const PooledPoint& point) { return point.name == "link_outer_joint"; });
}

bool noted(const Pool& pooled, const std::string& words) {
  return std::any_of(pooled.notes.begin(), pooled.notes.end(),
                     [&](const std::string& note) { return note.find(words) != std::string::npos; });
}

Vector3d bare_rod_end() {
  return strut_set().position_vehicle_mm("link_outer_joint");
}

class BareContact : public testing::TestWithParam<RodEndMount> {};

TEST_P(BareContact, CarsThatDifferByTheirSpacersOnlyHaveOneRodEnd) {
  const Pool pooled = pool({car_with("a", {0.0, GetParam()}), car_with("b", {5.08, GetParam()}),
                            car_with("c", {12.7, GetParam()})});
  const PooledPoint& rod_end = rod_end_of(pooled);
  EXPECT_LT((rod_end.mean_mm - bare_rod_end()).norm(), 1e-5);
  EXPECT_LT(rod_end.scatter_mm, 1e-3);
  EXPECT_FALSE(rod_end.differs);
  ASSERT_TRUE(pooled.result.rod_end.has_value());
  EXPECT_EQ(pooled.result.rod_end->mount, GetParam());
  EXPECT_TRUE(pooled.result.rod_end->between_now.empty());
  EXPECT_TRUE(noted(pooled, "do not give it --between"));
}

TEST_P(BareContact, ThePoolAsksForTheSameSpacersBetweenAsEachCar) {
  const double up_per_spacer = GetParam() == RodEndMount::below_arm ? -1.0 : 1.0;
  const auto between_mm = [&](const HardpointSet& set, double now_mm) {
    return now_mm + up_per_spacer * best_height(make_corner(set), Travel{}).height_mm;
  };
  const PoolMember five = car_with("b", {5.08, GetParam()}), six = car_with("c", {6.35, GetParam()});
  const double wanted_mm = between_mm(five.set, 5.08);
  EXPECT_NEAR(between_mm(six.set, 6.35), wanted_mm, 1e-4);
  EXPECT_NEAR(between_mm(pool({five, six}).result, 0.0), wanted_mm, 1e-4);
}

TEST_P(BareContact, RightCarsAreMirrored) {
  PoolMember right = car_with("b", {5.08, GetParam()});
  right.set = mirrored(right.set);
  const Pool pooled = pool({car_with("a", {0.0, GetParam()}), right});
  EXPECT_LT((rod_end_of(pooled).mean_mm - bare_rod_end()).norm(), 1e-5);
}

INSTANTIATE_TEST_SUITE_P(Mounts, BareContact,
                         testing::Values(RodEndMount::below_arm, RodEndMount::above_arm));

// Across the stud the quiet car counts as much as the others, along it not at all. By hand: across, the rod
// ends are at 0, 0 and 0.6 mm, mean 0.2, squares 0.24 mm^2; three cars in two directions and two in the third
// have 4 + 1 degrees of freedom, so 0.24 / (tau^2 + 0.01) = 5.
TEST(PoolOfRodEnds, ACarWithUnknownSpacersHasNoSayAlongItsStud) {
  const Vector3d across = stud.cross(Vector3d::UnitX()).normalized();
  const Pool pooled =
      pool({car_with("a", {0.0}), car_with("b", {5.08}), car_that_says_nothing(-7.3 * stud + 0.6 * across)});
  const PooledPoint& rod_end = rod_end_of(pooled);
  EXPECT_LT((rod_end.mean_mm - bare_rod_end() - 0.2 * across).norm(), 1e-4);
  EXPECT_NEAR(rod_end.scatter_mm, std::sqrt(0.24 / 5.0 - 0.01), 1e-4);
  EXPECT_NEAR(rod_end.measuring_mm, sigma, 1e-4);
  EXPECT_TRUE(noted(pooled, "not known of quiet car."));
}

TEST(PoolOfRodEnds, OneOnTheOtherSideOfTheArmHasNoSayAlongItsStud) {
  PoolMember above = car_with("c", {2.0, RodEndMount::above_arm});
  above.set.points[above.set.index_of("link_outer_joint")].position_vehicle_mm += 31.0 * stud;
  const Pool pooled = pool({car_with("a", {0.0}), car_with("b", {5.08}), above});
  EXPECT_LT((rod_end_of(pooled).mean_mm - bare_rod_end()).norm(), 1e-4);
  EXPECT_EQ(pooled.result.rod_end->mount, RodEndMount::below_arm);
  EXPECT_TRUE(noted(pooled, "sits above the steering arm, other than on most cars: c."));
}

TEST(PoolOfRodEnds, AllStayAsTheyAreWhenNoCarSaysWhatStandsBetween) {
  const Pool pooled = pool({car_that_says_nothing(Vector3d::Zero()), car_that_says_nothing(-3.0 * stud)});
  EXPECT_LT((rod_end_of(pooled).mean_mm - bare_rod_end() + 1.5 * stud).norm(), 1e-4);
  EXPECT_FALSE(pooled.result.rod_end.has_value());
  EXPECT_TRUE(noted(pooled, "was pooled as it stands"));
}

TEST(PoolOfRodEnds, HighMisalignmentSpacersStayWhereAllCarsHaveTheSame) {
  const Pool same = pool({car_with("a", {0.0, RodEndMount::below_arm, 4.0}),
                          car_with("b", {5.08, RodEndMount::below_arm, 4.0})});
  EXPECT_LT((rod_end_of(same).mean_mm - bare_rod_end() + 4.0 * stud).norm(), 1e-5);
  EXPECT_EQ(same.result.rod_end->high_misalignment->thickness_mm, 4.0);
  const Pool unlike = pool({car_with("a", {0.0, RodEndMount::below_arm, 4.0}), car_with("b", {5.08})});
  EXPECT_LT((rod_end_of(unlike).mean_mm - bare_rod_end()).norm(), 1e-5);
  EXPECT_FALSE(unlike.result.rod_end->high_misalignment.has_value());
}

// With the same spacers on both, a rod end that is off by more than chance explains is still seen.
TEST(PoolOfRodEnds, WhatSpacersDoNotExplainIsStillADifference) {
  PoolMember bent = car_with("b", {5.08});
  bent.set.points[bent.set.index_of("link_outer_joint")].position_vehicle_mm -= 3.0 * stud;
  EXPECT_TRUE(rod_end_of(pool({car_with("a", {0.0}), bent})).differs);
}

}  // namespace
}  // namespace pivotfix
