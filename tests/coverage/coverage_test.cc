// SPDX-License-Identifier: Apache-2.0
// Whether stated uncertainties are true: many simulated workshops, each with its own noise in edges, strips
// and stand-offs, from the photos to the spacer height. A 95 % region must hold the truth 95 times out of
// 100.
#include <gtest/gtest.h>

#include <Eigen/Cholesky>
#include <cstdio>

#include "advice/advice.h"
#include "advice/made_up_sets.h"
#include "network/simulated_corner.h"

namespace pivotfix {
namespace {

constexpr int workshops = 200;
constexpr double strip_sigma_mm = 0.01, stand_off_sigma_mm = 0.01;
// 95 % points of chi square with three, two and one degrees of freedom (tables; e.g. NIST/SEMATECH e-Handbook
// of Statistical Methods, 1.3.6.7.4).
constexpr double chi_square_3 = 7.815, chi_square_1 = 3.841;

struct Count {
  int inside = 0, all = 0;
  double squares = 0.0;  // normalised

  void add(double square, double limit) {
    ++all;
    inside += square <= limit;
    squares += square;
  }
  double percent() const { return 100.0 * inside / all; }
};

struct Coverage {
  Count points{}, mismatch{}, height{};
};

simulation::CornerOfTags with_measured_stand_offs(simulation::CornerOfTags corner, std::mt19937& random) {
  std::normal_distribution<double> error(0.0, stand_off_sigma_mm);
  for (HardpointRecipe& recipe : corner.question.hardpoints) {
    auto& way = std::get<TagOffset>(recipe.way);
    way.sigma_mm = stand_off_sigma_mm;
    for (int k = 0; k < 3; ++k) way.offset_tag_mm[k] += error(random);
  }
  return corner;
}

NetworkInput photographed(const simulation::CornerOfTags& corner, std::mt19937& random) {
  simulation::Wishes wishes;
  wishes.photos = 12;
  NetworkInput input = simulation::photograph(corner.truth, wishes, random).input;
  std::normal_distribution<double> error(0.0, strip_sigma_mm);
  input.scale_bars.clear();
  for (const auto& [from, to] : {std::pair{0, 1}, {3, 4}}) {
    const auto& tags = corner.truth.world_from_tag;
    const double length_mm = (tags[from].translation_mm - tags[to].translation_mm).norm();
    input.scale_bars.push_back({from, to, length_mm + error(random), strip_sigma_mm});
  }
  return input;
}

HardpointSet true_set(HardpointSet set, const simulation::CornerOfTags& corner) {
  set.covariance_mm2.resize(0, 0);
  for (std::size_t i = 0; i < set.points.size(); ++i)
    set.points[i].position_vehicle_mm = corner.pivots_vehicle_mm[i];
  return set;
}

void add_workshop(unsigned seed, Coverage& coverage) {
  std::mt19937 random(seed);
  const simulation::CornerOfTags corner = simulation::made_up_corner();
  const simulation::CornerOfTags measured = with_measured_stand_offs(corner, random);
  const Network network = adjust_network(photographed(corner, random));
  HardpointSet set = locate(network, measured.question).hardpoints;
  set.wheel.camber_is_known = true;  // as upright as the true wheel
  const HardpointSet truth = true_set(set, corner);
  for (std::size_t i = 0; i + 1 < set.points.size(); ++i) {  // the wheel centre is the origin
    const Eigen::Vector3d miss = set.points[i].position_vehicle_mm - truth.points[i].position_vehicle_mm;
    const auto at = 3 * static_cast<Eigen::Index>(i);
    coverage.points.add(miss.dot(set.covariance_mm2.block<3, 3>(at, at).ldlt().solve(miss)), chi_square_3);
  }
  const Travel travel{40.0, 40.0};
  const Advice found = advise(set, {}, travel), right = advise(truth, {}, travel);
  const auto square = [](const Uncertain& value, double true_value) {
    return std::pow((value.value - true_value) / value.sigma, 2);
  };
  coverage.mismatch.add(square(found.mismatch_rad, right.mismatch_rad.value), chi_square_1);
  coverage.height.add(square(found.best_height_change_mm, right.best_height_change_mm.value), chi_square_1);
}

void expect_true(const char* quantity, const Count& count) {
  std::printf("| %-12s | %5.1f %% of %d | 93 to 97 %% |\n", quantity, count.percent(), count.all);
  EXPECT_GE(count.percent(), 93.0) << quantity;
  EXPECT_LE(count.percent(), 97.0) << quantity;
}

TEST(Coverage, NinetyFivePercentRegionsHoldTheTruthThatOften) {
  Coverage coverage;
  for (unsigned seed = 1; seed <= workshops; ++seed) add_workshop(seed, coverage);
  std::printf("| %-12s | %s | %s |\n|---|---|---|\n", "quantity", "truth inside its 95 % region", "wanted");
  expect_true("points", coverage.points);
  expect_true("mismatch", coverage.mismatch);
  expect_true("spacer height", coverage.height);
}

}  // namespace
}  // namespace pivotfix
