// SPDX-License-Identifier: Apache-2.0
// Two measurements beside each other. All cars here are invented. Not proved: that two sessions on a real car
// err independently, which is what the verdicts count on.
#include "compare/compare.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "base/problem.h"
#include "compare/detection.h"

namespace pivotfix {
namespace {

// The whole set, tags included, as if its axes lay elsewhere.
HardpointSet displaced(HardpointSet set, const RigidTransform& motion) {
  for (Hardpoint& point : set.points) point.position_vehicle_mm = motion * point.position_vehicle_mm;
  for (Eigen::Vector3d& centre : set.body_tags.centres_vehicle_mm) centre = motion * centre;
  return set;
}

const RigidTransform small_motion{
    Eigen::Quaterniond(Eigen::AngleAxisd(0.02, Eigen::Vector3d(1, 2, -1).normalized())), {12.0, -7.0, 4.0}};

bool any_named(const Comparison& comparison) {
  for (const Shift& shift : comparison.shifts)
    if (shift.verdict.movement == Movement::surely) return true;
  return false;
}

const Shift& shift_of(const Comparison& comparison, const std::string& name) {
  for (const Shift& shift : comparison.shifts)
    if (shift.name == name) return shift;
  throw Problem(ProblemKind::internal, "no such shift", "");
}

TEST(Compare, FindsNothingBetweenASetAndItself) {
  HardpointSet set = strut_set();
  set.covariance_mm2 = made_up_covariance(positions_of(set), 0.3, true);
  const Comparison comparison = compare(set, set);
  EXPECT_TRUE(comparison.judged);
  EXPECT_FALSE(any_named(comparison));
  EXPECT_EQ(comparison.together.movement, Movement::none);
  ASSERT_TRUE(comparison.corner);
  EXPECT_EQ(comparison.corner->mismatch_rad.change.value, 0.0);
  EXPECT_GT(comparison.corner->mismatch_rad.change.sigma, 0.0);
}

TEST(Compare, RefusesASetInOtherUnitsInsteadOfCallingAllOfItMoved) {
  HardpointSet in_inches = strut_set();
  for (Hardpoint& point : in_inches.points) point.position_vehicle_mm *= 25.4;
  try {
    compare(strut_set(), in_inches);
    FAIL();
  } catch (const Problem& problem) {
    EXPECT_EQ(problem.kind(), ProblemKind::refused);
    EXPECT_TRUE(problem.what_happened().starts_with("The second set is wrong: The lower arm would be "));
  }
}

TEST(Compare, TellsShiftAndAnglesOfAMovedJointWithoutUncertainties) {
  const HardpointSet before = strut_set();
  HardpointSet after = before;
  after.points[after.index_of("link_inner_joint")].position_vehicle_mm.z() += 6.0;
  const Comparison comparison = compare(before, after);
  EXPECT_FALSE(comparison.judged);
  EXPECT_FALSE(any_named(comparison));
  EXPECT_EQ(shift_of(comparison, "link_inner_joint").shift_mm, Eigen::Vector3d(0, 0, 6));
  EXPECT_EQ(shift_of(comparison, "wheel_centre").shift_mm.norm(), 0.0);
  // Link angle in front view by hand: rise over reach of its two ends.
  const double reach_mm = 690.0 - 372.0;
  const double change = std::atan2(268.0 - 268.0, reach_mm) - std::atan2(268.0 - 262.0, reach_mm);
  ASSERT_TRUE(comparison.corner);
  EXPECT_NEAR(comparison.corner->link_angle_rad.change.value, change, 1e-12);
  EXPECT_NEAR(comparison.corner->mismatch_rad.change.value, change, 1e-12);
  EXPECT_NEAR(comparison.corner->camber_gain_rad.change.value, 0.0, 1e-3)
      << "the link hardly leans the wheel";
}

// The second time the lower arm's motion told its hinge's line: its pivots stand anywhere on it.
TEST(Compare, IsSilentAboutPlacesOnALineThatAPartsMotionTold) {
  HardpointSet before = strut_set();
  before.covariance_mm2 = made_up_covariance(positions_of(before), 0.3, true);
  HardpointSet after = before;
  Hardpoint& front = after.points[after.index_of("lower_arm_front_pivot")];
  Hardpoint& rear = after.points[after.index_of("lower_arm_rear_pivot")];
  const Eigen::Vector3d along = (front.position_vehicle_mm - rear.position_vehicle_mm).normalized();
  front.position_vehicle_mm -= 80.0 * along;
  rear.position_vehicle_mm -= 40.0 * along;
  EXPECT_TRUE(any_named(compare(before, after)));
  front.on_line_only = rear.on_line_only = true;
  const Comparison comparison = compare(before, after);
  EXPECT_FALSE(any_named(comparison));
  EXPECT_EQ(comparison.together.movement, Movement::none);
  EXPECT_TRUE(std::any_of(comparison.notes.begin(), comparison.notes.end(), [](const std::string& note) {
    return note.find("front pivot of the lower arm") != std::string::npos;
  }));
  // Off the line it is as good as any other.
  front.position_vehicle_mm.z() += 5.0;
  EXPECT_EQ(shift_of(compare(before, after), "lower_arm_front_pivot").verdict.movement, Movement::surely);
}

// The low point is any point of the strut's axis: the second time the tags sat 20 mm higher on its tube.
TEST(Compare, IsSilentAboutWhereOnTheStrutsAxisItsLowPointIs) {
  HardpointSet before = strut_set();
  before.covariance_mm2 = made_up_covariance(positions_of(before), 0.3, true);
  HardpointSet after = before;
  Hardpoint& low = after.points[after.index_of("strut_axis_low")];
  const Eigen::Vector3d along =
      (after.position_vehicle_mm("strut_top_mount") - low.position_vehicle_mm).normalized();
  low.position_vehicle_mm += 20.0 * along;
  const Comparison comparison = compare(before, after);
  EXPECT_FALSE(any_named(comparison));
  EXPECT_EQ(comparison.together.movement, Movement::none);
  const Shift& shift = shift_of(comparison, "strut_axis_low");
  EXPECT_EQ(shift.verdict.movement, Movement::none);
  EXPECT_LT(shift.shift_mm.norm(), 1e-6);
  EXPECT_LT(shift.point_sigma_mm(), 2.0) << "nothing known along the axis must not hide the rest";
  EXPECT_TRUE(std::any_of(comparison.notes.begin(), comparison.notes.end(), [](const std::string& note) {
    return note.starts_with("Known only as a line: lower end of the strut's axis.");
  }));
  CompareOptions rod_end;
  rod_end.touched = {{"link_outer_joint", Eigen::Vector3d(Eigen::Vector3d::UnitZ()), "along z"}};
  EXPECT_TRUE(compare(before, after, rod_end).touched_only);
  // Off the axis it is as good as any other.
  low.position_vehicle_mm.x() += 6.0;
  EXPECT_EQ(shift_of(compare(before, after), "strut_axis_low").verdict.movement, Movement::surely);
}

// Motion told the lower arm's hinge both times; the second one rises towards the front by 7 mrad more.
struct LeaningHinge {
  HardpointSet before = strut_set(), after{};
  Eigen::Vector3d along_after = Eigen::Vector3d::UnitX();
  static constexpr double front_up_mm = 1.0, rear_up_mm = -1.0;

  explicit LeaningHinge(double slid_mm) {
    before.covariance_mm2 = made_up_covariance(positions_of(before), 0.1, false);
    for (const char* name : {"lower_arm_front_pivot", "lower_arm_rear_pivot"})
      before.points[before.index_of(name)].on_line_only = true;
    after = before;
    Hardpoint& front = after.points[after.index_of("lower_arm_front_pivot")];
    Hardpoint& rear = after.points[after.index_of("lower_arm_rear_pivot")];
    front.position_vehicle_mm.z() += front_up_mm;
    rear.position_vehicle_mm.z() += rear_up_mm;
    along_after = (front.position_vehicle_mm - rear.position_vehicle_mm).normalized();
    front.position_vehicle_mm -= slid_mm * along_after;
    rear.position_vehicle_mm -= slid_mm * along_after;
  }
};

TEST(Compare, ComparesLinesAtOnePlaceWhereverOnThemTheirPivotsStand) {
  for (const double slid_mm : {0.0, 80.0}) {
    const LeaningHinge hinge(slid_mm);
    const Comparison comparison = compare(hinge.before, hinge.after);
    const Shift& front = shift_of(comparison, "lower_arm_front_pivot");
    const Shift& rear = shift_of(comparison, "lower_arm_rear_pivot");
    EXPECT_NEAR(front.shift_mm.z(), LeaningHinge::front_up_mm, 0.02) << slid_mm;
    EXPECT_NEAR(rear.shift_mm.z(), LeaningHinge::rear_up_mm, 0.02) << slid_mm;
    EXPECT_LT(std::abs(front.shift_mm.dot(hinge.along_after)), 0.01) << slid_mm;
  }
}

// One millimetre is five of its standard deviations: how far apart the two lines' directions are must not
// count as an uncertainty.
TEST(Compare, SeesALineThatLeansMoreThanMeasuringExplains) {
  const LeaningHinge hinge(0.0);
  const Comparison comparison = compare(hinge.before, hinge.after);
  const Shift& front = shift_of(comparison, "lower_arm_front_pivot");
  EXPECT_EQ(front.verdict.movement, Movement::surely);
  EXPECT_EQ(front.verdict.freedom, 2);
  EXPECT_NEAR(front.sigma_mm().z(), 0.14 * std::sqrt(2.0), 0.005);
  EXPECT_LT(front.sigma_mm().x(), 0.01) << "nothing is stated along the line";
}

TEST(Compare, MirrorsTheOtherSide) {
  HardpointSet left = strut_set();
  HardpointSet right = mirrored(left);
  right.points[right.index_of("lower_ball_joint")].position_vehicle_mm.y() -= 2.0;  // outwards
  const Comparison comparison = compare(left, right);
  EXPECT_TRUE(comparison.mirrored);
  EXPECT_EQ(shift_of(comparison, "lower_ball_joint").shift_mm, Eigen::Vector3d(0, 2, 0));
}

TEST(Compare, BodyTagsTakeOutWhereTheAxesLie) {
  const HardpointSet before = with_tags(strut_set());
  HardpointSet moved = before;
  moved.points[moved.index_of("link_outer_joint")].position_vehicle_mm += Eigen::Vector3d(0, 1, -5);
  const Comparison comparison = compare(before, displaced(moved, small_motion));
  EXPECT_EQ(comparison.overlay.alignment, Alignment::body_tags);
  EXPECT_EQ(comparison.overlay.tags.size(), 6U);
  EXPECT_LT((shift_of(comparison, "link_outer_joint").shift_mm - Eigen::Vector3d(0, 1, -5)).norm(), 1e-6);
  EXPECT_LT(shift_of(comparison, "lower_ball_joint").shift_mm.norm(), 1e-6);
  CompareOptions on_axes;
  on_axes.on_axes = true;
  EXPECT_GT(
      shift_of(compare(before, displaced(moved, small_motion), on_axes), "lower_ball_joint").shift_mm.norm(),
      5.0);
}

TEST(Compare, LeavesOutATagThatWasStuckAnew) {
  const HardpointSet truth = with_tags(strut_set());
  const Eigen::MatrixXd covariance = made_up_covariance(all_positions(truth), 0.1, true);
  Workbench bench(3);
  HardpointSet before = bench.measured(truth, covariance);
  HardpointSet after = bench.measured(displaced(truth, small_motion), covariance);
  after.body_tags.centres_vehicle_mm[2] += Eigen::Vector3d(0, 3, 0);
  const Comparison comparison = compare(before, after);
  EXPECT_EQ(comparison.overlay.left_out, std::vector<int>{72});
  EXPECT_EQ(comparison.overlay.tags, (std::vector<int>{70, 71, 73, 74, 75}));
  EXPECT_FALSE(any_named(comparison));
  ASSERT_FALSE(comparison.notes.empty());
  EXPECT_EQ(comparison.notes.front(),
            "Body tags that no longer fit the others and were left out: 72. Moved, or stuck anew?");
}

TEST(Compare, GoesBackToTheAxesWhenTheTagsContradictEachOther) {
  HardpointSet before = with_tags(strut_set());
  const Eigen::MatrixXd covariance = made_up_covariance(all_positions(before), 0.1, true);
  before.covariance_mm2 = covariance.topLeftCorner(24, 24);
  before.body_tags.covariance_mm2 = covariance.bottomRows(18);
  HardpointSet after = before;
  after.body_tags.centres_vehicle_mm[0].x() += 9.0;
  after.body_tags.centres_vehicle_mm[1].y() += 5.0;
  after.body_tags.centres_vehicle_mm[2].z() -= 6.0;
  after.body_tags.centres_vehicle_mm[3].x() -= 8.0;
  const Comparison comparison = compare(before, after);
  EXPECT_EQ(comparison.overlay.alignment, Alignment::axes);
  EXPECT_FALSE(any_named(comparison));
  ASSERT_FALSE(comparison.notes.empty());
  EXPECT_TRUE(comparison.notes[0].starts_with("The common body tags do not keep their places"));
}

// New arms push the wheel 5 mm forward. Its centre begins the axes, so what stays on the body is seen 5 mm
// further back; without common tags nothing tells that from a body that moved.
TEST(Compare, SaysThatOnTheAxesAWheelThatMovedLooksLikeABodyThatMoved) {
  HardpointSet before = strut_set();
  before.covariance_mm2 = made_up_covariance(positions_of(before), 0.3, true);
  HardpointSet after = before;
  for (const char* body :
       {"lower_arm_front_pivot", "lower_arm_rear_pivot", "strut_top_mount", "link_inner_joint"})
    after.points[after.index_of(body)].position_vehicle_mm.x() -= 5.0;
  const auto notes_of_it = [](const Comparison& comparison) {
    return std::count_if(comparison.notes.begin(), comparison.notes.end(), [](const std::string& note) {
      return note.find("start at the wheel centre") != std::string::npos &&
             note.find("taped differently look") != std::string::npos;
    });
  };
  const Comparison on_axes = compare(before, after);
  EXPECT_EQ(shift_of(on_axes, "strut_top_mount").verdict.movement, Movement::surely);
  EXPECT_EQ(notes_of_it(on_axes), 1);
  EXPECT_EQ(notes_of_it(compare(before, mirrored(after))), 1);
  const HardpointSet tagged = with_tags(strut_set());
  EXPECT_EQ(notes_of_it(compare(tagged, tagged)), 0);
}

TEST(Compare, RefusesWhatCannotBeCompared) {
  EXPECT_THROW(compare(strut_set(), double_wishbone_set()), Problem);
  HardpointSet in_line = with_tags(strut_set());
  in_line.body_tags.numbers = {70, 71, 72};
  in_line.body_tags.centres_vehicle_mm = {{0, 300, 400}, {100, 300, 400}, {200, 300, 400}};
  EXPECT_THROW(compare(in_line, in_line), Problem);
  CompareOptions options;
  options.touched = {{"gear_lever", std::nullopt, ""}};
  EXPECT_THROW(compare(strut_set(), strut_set(), options), Problem);
}

TEST(Compare, SaysWhyTheWheelCannotBeComparedAndStillListsShifts) {
  HardpointSet before = strut_set();
  before.points.erase(before.points.begin() + static_cast<long>(before.index_of("strut_top_mount")));
  const Comparison comparison = compare(before, strut_set());
  EXPECT_EQ(comparison.shifts.size(), 7U);
  EXPECT_FALSE(comparison.corner);
  ASSERT_FALSE(comparison.notes.empty());
  EXPECT_TRUE(comparison.notes.back().starts_with("What the wheel does cannot be compared: "))
      << comparison.notes.back();
}

}  // namespace
}  // namespace pivotfix
