// SPDX-License-Identifier: Apache-2.0
// Pools of made-up cars whose mean, scatter and odd one are known. Not proved: that real cars' peculiarities
// are normal and independent from pivot to pivot.
#include "pool/pool.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "base/problem.h"
#include "pool/made_up_club.h"

namespace pivotfix {
namespace {

PoolMember plain_car(const std::string& label, double x_mm, double sigma_mm) {
  HardpointSet set = strut_set();
  for (Hardpoint& point : set.points) point.position_vehicle_mm.x() += x_mm;
  set.covariance_mm2 = sigma_mm * sigma_mm * Eigen::MatrixXd::Identity(24, 24);
  set.record.car = label;
  return {label, set, {}};
}

TEST(Pool, LikeCarsGetTheWeightedMean) {
  // Weights 1/0.04 and 1/0.16: 4 to 1. They differ by less than their measurements explain, so no scatter.
  const Pool pooled = pool({plain_car("a", 0.0, 0.2), plain_car("b", 0.1, 0.4)});
  const PooledPoint& point = pooled.points.front();
  EXPECT_EQ(point.scatter_mm, 0.0);
  EXPECT_NEAR(point.mean_mm.x(), 210.0 + 0.02, 1e-6);
  EXPECT_NEAR(point.mean_sigma_mm.x(), std::sqrt(1.0 / (1.0 / 0.04 + 1.0 / 0.16)), 1e-5);
  EXPECT_FALSE(pooled.oddness_judged);
}

// By hand: x of three cars at -3, 0, 3 mm, sigma 0.5 mm each, y and z alike. Q = 18 / 0.25 = 72, nine
// measurements less three means: 6; 18 / (tau^2 + 0.25) = 6 gives tau^2 = 2.75 mm^2. Student's distribution
// of six degrees has the variance 6 / 4, so uncertainties count 3 * 6 / 4 = 4.5 mm^2 for one measurement of
// one car, 4.25 mm^2 of it from car to car.
TEST(Pool, ScatterMakesTheSquaresAsManyAsTheirFreedom) {
  const Pool pooled = pool({plain_car("a", -3.0, 0.5), plain_car("b", 0.0, 0.5), plain_car("c", 3.0, 0.5)});
  for (const PooledPoint& point : pooled.points) {
    if (point.name == "strut_axis_low") continue;  // known across a line only
    EXPECT_NEAR(point.scatter_mm, std::sqrt(2.75), 1e-5);
    // Chi square of six degrees of freedom between 1.2373 and 14.4494 in 95 %, from a printed table.
    EXPECT_NEAR(point.scatter_low_mm, std::sqrt(18.0 / 14.4494 - 0.25), 1e-4);
    EXPECT_NEAR(point.scatter_high_mm, std::sqrt(18.0 / 1.2373 - 0.25), 1e-3);
    EXPECT_NEAR(point.mean_sigma_mm.x(), std::sqrt(4.5 / 3.0), 1e-5);
    EXPECT_TRUE(point.differs);
    EXPECT_LT(point.probability, 1e-6);
  }
  // One more car of the chassis: the mean's variance and once more the scatter.
  EXPECT_NEAR(sigma_mm(pooled.result, 0, 0), std::sqrt(1.5 + 4.25), 1e-5);
  PoolOptions of_the_mean;
  of_the_mean.of_the_mean = true;
  const Pool mean =
      pool({plain_car("a", -3.0, 0.5), plain_car("b", 0.0, 0.5), plain_car("c", 3.0, 0.5)}, of_the_mean);
  EXPECT_NEAR(sigma_mm(mean.result, 0, 0), std::sqrt(1.5), 1e-5);
}

TEST(Pool, TellsCarToCarScatterFromMeasuringUncertainty) {
  double square_sum = 0.0;
  int points = 0;
  for (unsigned seed = 0; seed < 30; ++seed) {
    Club club(seed, 0.8, false);
    for (const PooledPoint& point : pool(club.cars(12)).points) {
      square_sum += point.scatter_mm * point.scatter_mm;
      ++points;
    }
  }
  // Mean of 240 estimates of 0.64 mm^2, each with 33 degrees of freedom: 1.6 % standard error of the
  // variance.
  EXPECT_NEAR(std::sqrt(square_sum / points), 0.8, 0.04);
}

TEST(Pool, OrderOfInputDoesNotMatterToTheByte) {
  Club club(5, 0.4);
  std::vector<PoolMember> cars = club.cars(5);
  const std::string once = hardpoints_to_json(pool(cars).result);
  std::reverse(cars.begin(), cars.end());
  EXPECT_EQ(hardpoints_to_json(pool(cars).result), once);
  std::rotate(cars.begin(), cars.begin() + 2, cars.end());
  EXPECT_EQ(hardpoints_to_json(pool(cars).result), once);
}

TEST(Pool, ACarAddedToThePoolsFileOrTakenOutOfItLeavesNoTrace) {
  Club club(6, 0.4);
  const std::vector<PoolMember> cars = club.cars(6);
  const std::string of_six = hardpoints_to_json(pool(cars).result);
  const std::string of_five = hardpoints_to_json(pool({cars.begin(), cars.end() - 1}).result);
  std::vector<PoolMember> without = members_of(hardpoints_from_json(of_six, "six.json"), "six.json");
  ASSERT_EQ(without.size(), 6U);
  take_out("car 5", without);
  EXPECT_EQ(hardpoints_to_json(pool(without).result), of_five);
  std::vector<PoolMember> with = members_of(hardpoints_from_json(of_five, "five.json"), "five.json");
  with.push_back(cars.back());
  EXPECT_EQ(hardpoints_to_json(pool(with).result), of_six);
}

TEST(Pool, KeepsWhereEverySetComesFrom) {
  Club club(7, 0.4);
  std::vector<PoolMember> cars = club.cars(3);
  cars[1].set.record = {"car 1", "2026-05-17", "A. Person", "photos", {{"photos/a.jpg", "0123456789abcdef"}},
                        {}};
  const Pool pooled = pool(cars);
  ASSERT_EQ(pooled.result.record.files.size(), 3U);
  const std::vector<PoolMember> back =
      members_of(hardpoints_from_json(hardpoints_to_json(pooled.result), "p.json"), "p.json");
  const auto one =
      std::find_if(back.begin(), back.end(), [](const PoolMember& car) { return car.label == "car 1"; });
  ASSERT_NE(one, back.end());
  EXPECT_EQ(one->set.record.who, "A. Person");
  EXPECT_EQ(one->set.record.files.at(0).checksum, "0123456789abcdef");
  EXPECT_EQ(one->set.record.date, "2026-05-17");
}

std::ptrdiff_t notes_with(const std::string& words, const Pool& pooled) {
  return std::count_if(pooled.notes.begin(), pooled.notes.end(),
                       [&](const std::string& note) { return note.find(words) != std::string::npos; });
}

// Of the third car the lower arm's motion told a line: where its pivots stand on it is no opinion.
TEST(Pool, ACarThatKnowsOnlyALineHasNoSayAlongIt) {
  std::vector<PoolMember> cars{plain_car("a", -0.01, 0.5), plain_car("b", 0.01, 0.5),
                               plain_car("c", 0.0, 0.5)};
  const auto slide = [](HardpointSet& set) {
    Hardpoint& front = set.points[set.index_of("lower_arm_front_pivot")];
    Hardpoint& rear = set.points[set.index_of("lower_arm_rear_pivot")];
    const Eigen::Vector3d along = (front.position_vehicle_mm - rear.position_vehicle_mm).normalized();
    front.position_vehicle_mm -= 80.0 * along;
    rear.position_vehicle_mm += 40.0 * along;
    front.on_line_only = rear.on_line_only = true;
  };
  slide(cars[2].set);
  const Pool two_know = pool(cars);
  const std::size_t front = two_know.result.index_of("lower_arm_front_pivot");
  EXPECT_LT((two_know.result.points[front].position_vehicle_mm -
             strut_set().position_vehicle_mm("lower_arm_front_pivot"))
                .norm(),
            0.01);
  EXPECT_FALSE(two_know.result.points[front].on_line_only);
  EXPECT_EQ(notes_with("Some cars tell only a line: front pivot of the lower arm, rear pivot", two_know), 1);
  EXPECT_EQ(notes_with("Known only as a line: lower end of the strut's axis.", two_know), 1);
  slide(cars[0].set);
  slide(cars[1].set);
  const Pool nobody_knows = pool(cars);
  EXPECT_TRUE(nobody_knows.result.points[front].on_line_only);
  EXPECT_LT(sigma_mm(nobody_knows.result, front, 0), 1.0);
  EXPECT_EQ(notes_with("Some cars tell only a line", nobody_knows), 0);
  EXPECT_EQ(notes_with("Known only as a line: front pivot of the lower arm, rear pivot", nobody_knows), 1);
}

TEST(Pool, MirrorsTheOtherSide) {
  PoolMember right = plain_car("b", 0.1, 0.4);
  right.set = mirrored(right.set);
  const Pool both = pool({plain_car("a", 0.0, 0.2), right});
  EXPECT_EQ(both.result.side, Side::left);
  EXPECT_NEAR(both.points.front().mean_mm.y(), 345.0, 1e-9);
  PoolOptions to_right;
  to_right.side = Side::right;
  EXPECT_NEAR(pool({plain_car("a", 0.0, 0.2), right}, to_right).points.front().mean_mm.y(), -345.0, 1e-9);
}

// Toe is each car's own; a camber that nobody read is no camber of zero.
TEST(Pool, HasNoToeAndTheCamberOfThoseCarsOnWhichItWasRead) {
  std::vector<PoolMember> cars{plain_car("a", 0.0, 0.2), plain_car("b", 0.1, 0.4), plain_car("c", 0.2, 0.4)};
  cars[0].set.wheel = {0.004, -0.02, 406.4, true, true};
  cars[1].set.wheel = {0.0, 0.0, 406.4, false, false};
  cars[2].set.wheel = {-0.002, -0.03, 406.4, true, true};
  const WheelSetting wheel = pool(cars).result.wheel;
  EXPECT_FALSE(wheel.toe_is_known);
  EXPECT_EQ(wheel.toe_rad, 0.0);
  EXPECT_TRUE(wheel.camber_is_known);
  EXPECT_NEAR(wheel.camber_rad, -0.025, 1e-9);
  cars[0].set.wheel.camber_is_known = cars[2].set.wheel.camber_is_known = false;
  EXPECT_FALSE(pool(cars).result.wheel.camber_is_known);
}

// A pool's own list of files names its cars: that says nothing of photos.
TEST(Pool, ComesFromPhotosWhenOneOfItsCarsDoes) {
  std::vector<PoolMember> cars{plain_car("a", 0.0, 0.2), plain_car("b", 0.1, 0.4)};
  EXPECT_FALSE(comes_from_photos(cars[0].set));
  EXPECT_FALSE(comes_from_photos(pool(cars).result));
  cars[1].set.record.files = {{"photos/a.jpg", "0123456789abcdef"}};
  EXPECT_TRUE(comes_from_photos(cars[1].set));
  HardpointSet pooled = hardpoints_from_json(hardpoints_to_json(pool(cars).result), "p.json");
  EXPECT_TRUE(comes_from_photos(pooled));
  pooled.other_fields_json.clear();
  EXPECT_FALSE(comes_from_photos(pooled)) << "nothing tells any more that there were photos";
}

std::string complaint(std::vector<PoolMember> cars) {
  try {
    pool(std::move(cars));
  } catch (const Problem& problem) {
    return problem.what_happened();
  }
  return "accepted";
}

TEST(Pool, RefusesWhatCannotBePooled) {
  EXPECT_EQ(complaint({plain_car("a", 0, 1)}), "A pool needs two cars or more, and there is 1.");
  EXPECT_EQ(complaint({plain_car("a", 0, 1), {"b", double_wishbone_set(), {}}}),
            "\"b\" is a double wishbone corner, \"a\" a strut corner.");
  EXPECT_EQ(complaint({plain_car("a", 0, 1), {"b", strut_set(), {}}}),
            "\"b\" has no uncertainties, so it cannot be weighed.");
  PoolMember again = plain_car("a", 0, 1);
  again.label = "also a";
  EXPECT_NE(complaint({plain_car("a", 0, 1), again}).find("are the same measurement"), std::string::npos);
  PoolMember from_a_spreadsheet{"a.csv", hardpoints_from_csv(hardpoints_to_csv(again.set), "a.csv"), {}};
  EXPECT_NE(complaint({plain_car("a", 0, 1), from_a_spreadsheet}).find("are the same measurement"),
            std::string::npos);
  PoolMember in_inches = plain_car("b", 0, 1);
  for (Hardpoint& point : in_inches.set.points) point.position_vehicle_mm /= 25.4;
  EXPECT_NE(
      complaint({plain_car("a", 0, 1), in_inches}).find("\"b\" cannot be pooled: The lower arm would be"),
      std::string::npos);
  PoolMember lacking = plain_car("b", 0, 1);
  lacking.set.points.pop_back();
  lacking.set.covariance_mm2.conservativeResize(21, 21);
  EXPECT_EQ(complaint({plain_car("a", 0, 1), lacking}), "\"b\" has no wheel_centre.");
}

TEST(Pool, RefusesAPoolWhoseSetsWereChangedByHand) {
  std::string text = hardpoints_to_json(pool({plain_car("a", 0.0, 0.2), plain_car("b", 0.1, 0.4)}).result);
  const std::size_t at = text.find("\"x\": 210.1", text.find("\"pool\""));
  ASSERT_NE(at, std::string::npos);
  text.replace(at, 10, "\"x\": 210.2");
  EXPECT_THROW(members_of(hardpoints_from_json(text, "p.json"), "p.json"), Problem);
}

TEST(Pool, SaysWhichCarsThereAreWhenTheOneToTakeOutIsNot) {
  std::vector<PoolMember> cars{plain_car("b", 0, 1), plain_car("a", 0, 1)};
  try {
    take_out("c", cars);
    FAIL();
  } catch (const Problem& problem) {
    EXPECT_EQ(std::string(problem.what()), "No car \"c\" is in the pool. There are \"a\", \"b\".");
  }
}

// `compare_bench` prints the whole table of docs/accuracy.md.
class PoolBars : public testing::TestWithParam<double> {};

TEST_P(PoolBars, LikeCarsAreCalledOddAtTheStatedRate) {
  // 300 draws scatter by 1.3 % about 5 % themselves.
  const double alarms = ClubDraws(21, GetParam(), 300).like_car_called_odd().percent();
  EXPECT_GT(alarms, 1.5);
  EXPECT_LT(alarms, 9.0);
}

TEST_P(PoolBars, ACarWhosePivotsAreOffByThreeStandardDeviationsIsNamed) {
  EXPECT_GE(ClubDraws(22, GetParam(), 60).car_with_all_pivots_off_named().percent(), 85.0);
}

TEST_P(PoolBars, ACarWithOnePivotOffByThreeStandardDeviationsIsNamed) {
  EXPECT_GE(ClubDraws(23, GetParam(), 60).car_with_one_pivot_off_named().percent(), 85.0);
}

INSTANTIATE_TEST_SUITE_P(Scatter, PoolBars, testing::Values(0.0, 0.5));

}  // namespace
}  // namespace pivotfix
