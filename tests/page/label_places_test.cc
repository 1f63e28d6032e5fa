// SPDX-License-Identifier: Apache-2.0
#include "page/label_places.h"

#include <gtest/gtest.h>

namespace pivotfix::report {
namespace {

using Point = Eigen::Vector2d;

const Point left(50, 100), right(250, 100);

TEST(LabelPlaces, StandAboveALineThatIsAlone) {
  LabelPlaces places(300, 200);
  places.avoid(left, right);
  const LabelPlace place = places.best(beside(left, right), "lower arm");
  EXPECT_EQ(place.at, Point(150, 91));
  EXPECT_EQ(place.anchor, Anchor::middle);
}

TEST(LabelPlaces, GoBelowWhereAnotherLineRunsAbove) {
  LabelPlaces places(300, 200);
  places.avoid(left, right);
  places.avoid({50, 86}, {250, 86});
  EXPECT_GT(places.best(beside(left, right), "lower arm").at.y(), 100.0);
}

TEST(LabelPlaces, LeaveRoomForEachOtherAndStayInThePicture) {
  LabelPlaces places(300, 112);  // no room below the line
  places.avoid(left, right);
  const LabelPlace one = places.best(beside(left, right), "lower arm");
  const LabelPlace other = places.best(beside(left, right), "link");
  EXPECT_LT(one.at.y(), 100.0);
  EXPECT_LT(other.at.y(), 100.0);
  // Nine letters and four, each at least 6 px wide, about their middles.
  EXPECT_GT(std::abs(one.at.x() - other.at.x()), 0.5 * 6.0 * (9 + 4));
}

TEST(LabelPlaces, KeepClearOfPoints) {
  LabelPlaces places(300, 200);
  places.avoid_around({120, 50});
  EXPECT_LT(places.best(around({100, 50}), "ball joint").at.x(), 100.0);
}

}  // namespace
}  // namespace pivotfix::report
