// SPDX-License-Identifier: Apache-2.0
// Hardpoint sets mirrored, and the names of their choices.
#include "hardpoints/hardpoint_set.h"

#include <gtest/gtest.h>

#include "base/problem.h"
#include "hardpoints/random_set.h"

namespace pivotfix {
namespace {

TEST(HardpointSet, MirroredTwiceIsTheSameAndOnceTurnsYAround) {
  const HardpointSet set = random_set(Layout::double_wishbone, 9);
  const HardpointSet once = mirrored(set);
  EXPECT_EQ(once.side, Side::left);
  EXPECT_EQ(once.points[2].position_vehicle_mm.y(), -set.points[2].position_vehicle_mm.y());
  EXPECT_EQ(once.points[2].position_vehicle_mm.x(), set.points[2].position_vehicle_mm.x());
  EXPECT_EQ(once.rod_end->stud_axis_vehicle.y(), -set.rod_end->stud_axis_vehicle.y());
  EXPECT_EQ(once.covariance_mm2(1, 3), -set.covariance_mm2(1, 3));
  EXPECT_EQ(once.covariance_mm2(1, 4), set.covariance_mm2(1, 4));
  const HardpointSet twice = mirrored(once);
  EXPECT_EQ(twice.side, set.side);
  EXPECT_TRUE(twice.covariance_mm2 == set.covariance_mm2);
  for (std::size_t i = 0; i < set.points.size(); ++i)
    EXPECT_EQ(twice.points[i].position_vehicle_mm, set.points[i].position_vehicle_mm);
}

TEST(HardpointSet, NamesOfEveryChoiceReadBack) {
  for (const Side side : {Side::left, Side::right}) EXPECT_EQ(side_from_name(name_of(side)), side);
  for (const Layout layout : all_layouts()) EXPECT_EQ(layout_from_name(name_of(layout)), layout);
  for (const RodEndMount mount : {RodEndMount::below_arm, RodEndMount::above_arm})
    EXPECT_EQ(rod_end_mount_from_name(name_of(mount)), mount);
  EXPECT_EQ(side_from_name("Left"), Side::left);
  EXPECT_THROW(side_from_name("port"), Problem);
}

}  // namespace
}  // namespace pivotfix
