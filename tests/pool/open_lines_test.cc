// SPDX-License-Identifier: Apache-2.0
// Cars whose lower arm's pivots are known as a line only, each car's put elsewhere on its line. Oracle: the
// line that the cars were made from.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "advice/height.h"
#include "advice/made_up_sets.h"
#include "pool/made_up_club.h"

namespace pivotfix {
namespace {

using Eigen::Vector3d;

constexpr const char* front_name = "lower_arm_front_pivot";
constexpr const char* rear_name = "lower_arm_rear_pivot";

// By so much towards the front.
void slide(HardpointSet& set, double front_by_mm, double rear_by_mm) {
  Hardpoint& front = set.points[set.index_of(front_name)];
  Hardpoint& rear = set.points[set.index_of(rear_name)];
  const Vector3d along = (front.position_vehicle_mm - rear.position_vehicle_mm).normalized();
  front.position_vehicle_mm += front_by_mm * along;
  rear.position_vehicle_mm += rear_by_mm * along;
  front.on_line_only = rear.on_line_only = true;
}

Vector3d line_direction(const HardpointSet& set) {
  return (set.position_vehicle_mm(front_name) - set.position_vehicle_mm(rear_name)).normalized();
}

// From the set's line to the place, the shortest way.
Vector3d off_line_mm(const HardpointSet& set, const Vector3d& place_mm) {
  const Vector3d along = line_direction(set), off_mm = place_mm - set.position_vehicle_mm(front_name);
  return off_mm - along.dot(off_mm) * along;
}

const PooledPoint& point_of(const Pool& pooled, const char* name) {
  return *std::find_if(pooled.points.begin(), pooled.points.end(),
                       [&](const PooledPoint& point) { return point.name == name; });
}

PoolMember like_car(const std::string& label, double sigma_mm, double front_by_mm, double rear_by_mm) {
  HardpointSet set = strut_set();
  set.covariance_mm2 = sigma_mm * sigma_mm * Eigen::MatrixXd::Identity(24, 24);
  set.record.car = label;
  slide(set, front_by_mm, rear_by_mm);
  return {label, set, {}};
}

// Across the line three cars of 0.3 mm make 0.17 mm; along it nothing is stated, as nothing is known.
TEST(PoolOfLines, WhereEachCarHasItsPivotsOnTheLineIsNoDifference) {
  const Pool pooled =
      pool({like_car("a", 0.3, 0.0, 0.0), like_car("b", 0.3, 20.0, -10.0), like_car("c", 0.3, -15.0, 12.0)});
  for (const char* name : {front_name, rear_name}) {
    const PooledPoint& point = point_of(pooled, name);
    EXPECT_FALSE(point.differs);
    EXPECT_EQ(point.scatter_mm, 0.0);
    EXPECT_LT(off_line_mm(strut_set(), point.mean_mm).norm(), 1e-5);
    EXPECT_NEAR(point.mean_sigma_mm.z(), 0.3 / std::sqrt(3.0), 0.01);
    EXPECT_LT(point.mean_sigma_mm.x(), 0.02);
    EXPECT_NEAR(point.measuring_mm, 0.3, 0.015);
  }
  const Corner corner = make_corner(pooled.result);
  const BestHeight one = best_height(make_corner(like_car("a", 0.3, 0.0, 0.0).set), Travel{});
  const BestHeight best = best_height(corner, Travel{});
  EXPECT_NEAR(best.height_mm, one.height_mm, 1e-3);
  EXPECT_LT(best.sigma_mm, one.sigma_mm);
}

// Any point of the strut's axis is its low one, and each car was measured at another.
TEST(PoolOfLines, WhereOnTheStrutsAxisItsLowPointIsIsNoDifference) {
  const HardpointSet one = strut_set();
  std::vector<PoolMember> cars;
  for (const double up_mm : {0.0, 20.0, 40.0, 60.0}) {
    HardpointSet set = one;
    Hardpoint& low = set.points[set.index_of("strut_axis_low")];
    low.position_vehicle_mm +=
        up_mm * (set.position_vehicle_mm("strut_top_mount") - low.position_vehicle_mm).normalized();
    set.covariance_mm2 = 0.09 * Eigen::MatrixXd::Identity(24, 24);
    cars.push_back({"car at " + std::to_string(up_mm), set, {}});
  }
  const Pool pooled = pool(cars);
  EXPECT_FALSE(point_of(pooled, "strut_axis_low").differs);
  EXPECT_EQ(point_of(pooled, "strut_axis_low").scatter_mm, 0.0);
  EXPECT_TRUE(pooled.odd.empty());
  HardpointSet same_wheel = one;
  same_wheel.wheel = pooled.result.wheel;
  const Corner corner = make_corner(pooled.result), corner_of_one = make_corner(same_wheel);
  const auto figures_of = [](const Corner& of) { return figures(of, solve_state(of, 20.0)).values; };
  const auto pooled_figures = figures_of(corner), figures_of_one = figures_of(corner_of_one);
  for (std::size_t i = 0; i < pooled_figures.size(); ++i)
    EXPECT_NEAR(pooled_figures[i], figures_of_one[i], 1e-5 * (1.0 + std::abs(figures_of_one[i]))) << i;
  EXPECT_NEAR(best_height(corner, Travel{}).height_mm, best_height(corner_of_one, Travel{}).height_mm, 1e-3);
}

// By hand: across the line the cars are at -0.4, 0 and 0.4 mm, squares 0.32 mm^2 with two degrees of freedom
// for each car after the first: 0.32 / (tau^2 + 0.01) = 4.
TEST(PoolOfLines, HaveTwoDegreesOfFreedomForEachCar) {
  std::vector<PoolMember> cars{like_car("a", 0.1, 0.0, 0.0), like_car("b", 0.1, 0.0, 0.0),
                               like_car("c", 0.1, 0.0, 0.0)};
  const Vector3d across = line_direction(strut_set()).cross(Vector3d::UnitY()).normalized();
  double by_mm = -0.4;
  for (PoolMember& car : cars) {
    for (const char* name : {front_name, rear_name})
      car.set.points[car.set.index_of(name)].position_vehicle_mm += by_mm * across;
    by_mm += 0.4;
  }
  const PooledPoint point = point_of(pool(cars), front_name);
  EXPECT_NEAR(point.scatter_mm, std::sqrt(0.32 / 4.0 - 0.01), 1e-4);
  EXPECT_FALSE(point_of(pool(cars), "strut_top_mount").differs);
}

// Cars that differ by 0.5 mm in every coordinate, their pivots anywhere on their lines: car to car and the
// mean line's error are what they are across the line.
TEST(PoolOfLines, TellWhatCarsDifferByAcrossTheLine) {
  Club club(31, 0.5, false);
  Workbench bench(32);
  const int pools = 40;
  double scatter_squares = 0.0, error_squares = 0.0;
  for (int i = 0; i < pools; ++i) {
    std::vector<PoolMember> cars = club.cars(3);
    for (PoolMember& car : cars) slide(car.set, 25.0 * bench.normal(), 25.0 * bench.normal());
    const Pool pooled = pool(cars);
    for (const char* name : {front_name, rear_name}) {
      const PooledPoint& point = point_of(pooled, name);
      scatter_squares += point.scatter_mm * point.scatter_mm / (2.0 * pools);
      error_squares += off_line_mm(strut_set(), point.mean_mm).squaredNorm() / (4.0 * pools);
    }
  }
  // Variances of 0.25 + 0.14 mm^2 with four degrees of freedom, 80 of them: 8 % of 0.39 mm^2.
  EXPECT_NEAR(scatter_squares, 0.25, 0.09);
  // 160 coordinates, whose mean square scatters by 11 %.
  EXPECT_NEAR(error_squares, 0.39 / 3.0, 0.05);
}

TEST(PoolOfLines, LikeCarsAreCalledOddAtTheStatedRate) {
  Club club(35, 0.5);
  Workbench bench(36);
  PoolOptions options;
  options.draws = 99;
  const int pools = 200;
  int odd = 0;
  for (int i = 0; i < pools; ++i) {
    std::vector<PoolMember> cars = club.cars(5);
    for (PoolMember& car : cars) slide(car.set, 25.0 * bench.normal(), 25.0 * bench.normal());
    odd += pool(cars, options).odd.empty() ? 0 : 1;
  }
  // 200 pools scatter by 1.5 % about 5 % themselves.
  EXPECT_GT(odd, pools * 0.015);
  EXPECT_LT(odd, pools * 0.095);
}

// Of so many clubs of six cars, in how many the one whose arm is off its line is named first. All are put
// anywhere on their lines.
int found_off_its_line(double off_mm, int clubs) {
  PoolOptions options;
  options.draws = 199;
  int found = 0;
  for (int i = 0; i < clubs; ++i) {
    Club club(100 + static_cast<unsigned>(i), 0.0, false);
    Workbench bench(200 + static_cast<unsigned>(i));
    std::vector<PoolMember> cars = club.cars(6);
    cars[2].set.points[cars[2].set.index_of(front_name)].position_vehicle_mm.z() += off_mm;
    for (PoolMember& car : cars) slide(car.set, 25.0 * bench.normal(), 25.0 * bench.normal());
    const Pool pooled = pool(cars, options);
    found += !pooled.odd.empty() && pooled.odd.front().label == "car 2" ? 1 : 0;
  }
  return found;
}

// Six and eight standard deviations of its measurement. By chance it would be one club in 120. An F test of
// that pivot by itself that is told which pivot it is, but not which car, finds 83 % and 99 %.
TEST(PoolOfLines, AnArmThatIsOffItsLineIsFoundWhereverThePivotsAreOnIt) {
  const int clubs = 20, at_six = found_off_its_line(2.5, clubs), at_eight = found_off_its_line(3.5, clubs);
  EXPECT_GE(at_six, 13);
  EXPECT_GE(at_eight, 18);
  EXPECT_GE(at_eight, at_six);
}

}  // namespace
}  // namespace pivotfix
