// SPDX-License-Identifier: Apache-2.0
// Smallest peak, zero slope and weights against brute force on the exact model. All corners are invented.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <functional>

#include "advice/height.h"
#include "corner/example_corners.h"

namespace pivotfix {
namespace {

Driving driving_of(double bump_mm, double droop_mm, HeightAim aim, std::vector<TravelWeight> weights = {}) {
  return {"", {bump_mm, droop_mm}, std::move(weights), aim};
}

// A weight that is written down here once more, independent of weight_at: 3 in far droop, 1 in bump.
double some_weight(double travel_mm) {
  return travel_mm <= -20.0 ? 3.0 : travel_mm >= 10.0 ? 1.0 : 3.0 - 2.0 * (travel_mm + 20.0) / 30.0;
}
const std::vector<TravelWeight> some_weights = {{-20.0, 3.0}, {10.0, 1.0}};

// Weighted mean square and weighted peak on a grid of its own.
double mean_square(const Corner& corner, double height_mm, const Driving& driving) {
  const Curve curve = solve_curve(with_rod_end_height(corner, height_mm), driving.travel, 0.25);
  double sum = 0.0;
  for (std::size_t i = 1; i < curve.states.size(); ++i)
    for (const CornerState* state : {&curve.states[i - 1], &curve.states[i]}) {
      const double weight = driving.weights.empty() ? 1.0 : some_weight(state->travel_mm);
      sum += 0.5 * (curve.states[i].travel_mm - curve.states[i - 1].travel_mm) * weight *
             std::pow(state->toe_rad - corner.wheel.toe_rad, 2);
    }
  return sum;
}

double peak(const Corner& corner, double height_mm, const Driving& driving) {
  const Curve curve = solve_curve(with_rod_end_height(corner, height_mm), driving.travel, 0.25);
  double largest = 0.0;
  for (const CornerState& state : curve.states) {
    const double weight = driving.weights.empty() ? 1.0 : some_weight(state.travel_mm);
    largest = std::max(largest, std::sqrt(weight) * std::abs(state.toe_rad - corner.wheel.toe_rad));
  }
  return largest;
}

double slope(const Corner& corner, double height_mm) {
  return std::abs(solved_at(with_rod_end_height(corner, height_mm), 0.0).toe_per_travel_rad_mm);
}

// The best of a grid around zero, refined twice.
double brute_force(const std::function<double(double)>& cost) {
  double best = 0.0;
  double step = 2.0;
  for (int reach = 20; step > 0.002; reach = 12, step *= 0.1) {
    const double centre = best;
    double least = 1e300;
    for (int i = -reach; i <= reach; ++i) {
      const double here = cost(centre + i * step);
      if (here < least) {
        least = here;
        best = centre + i * step;
      }
    }
  }
  return best;
}

// The bar: within 0.02 mm of brute force on the exact model.
TEST(Aims, AreWithinTwoHundredthsOfAMillimetreOfBruteForce) {
  double farthest[3] = {};
  for (unsigned seed = 0; seed < 12; ++seed) {
    const Layout layout = seed % 4 < 2 ? Layout::strut : Layout::double_wishbone;
    const Corner corner = make_corner(random_plausible_set(layout, seed, 8.0));
    const std::vector<TravelWeight> weights = seed % 3 == 0 ? some_weights : std::vector<TravelWeight>{};
    const Driving squares = driving_of(30.0 + seed, 55.0 - seed, HeightAim::least_squares, weights);
    Driving least_peak = squares;
    least_peak.aim = HeightAim::smallest_peak;
    const double misses[3] = {best_height(corner, squares).height_mm -
                                  brute_force([&](double h) { return mean_square(corner, h, squares); }),
                              best_height(corner, least_peak).height_mm -
                                  brute_force([&](double h) { return peak(corner, h, least_peak); }),
                              best_height(corner, driving_of(1, 1, HeightAim::zero_slope)).height_mm -
                                  brute_force([&](double h) { return slope(corner, h); })};
    for (int aim = 0; aim < 3; ++aim) {
      EXPECT_LT(std::abs(misses[aim]), 0.02) << "aim " << aim << " seed " << seed;
      farthest[aim] = std::max(farthest[aim], std::abs(misses[aim]));
    }
  }
  std::printf(
      "farthest from brute force: least squares %.4f mm, smallest peak %.4f mm, zero slope %.4f mm "
      "(bar 0.02 mm, steps of brute force 0.002 mm)\n",
      farthest[0], farthest[1], farthest[2]);
}

TEST(Aims, BeatTheirNeighbours) {
  for (unsigned seed = 20; seed < 60; ++seed) {
    const Layout layout = seed % 4 < 2 ? Layout::strut : Layout::double_wishbone;
    const Corner corner = make_corner(random_plausible_set(layout, seed, 8.0));
    const Driving least_peak = driving_of(40.0, 40.0, HeightAim::smallest_peak, some_weights);
    const double at = best_height(corner, least_peak).height_mm;
    for (const double aside : {-0.02, 0.02})
      EXPECT_LT(peak(corner, at, least_peak), peak(corner, at + aside, least_peak)) << "seed " << seed;
    const double flat = zero_slope_height(corner).height_mm;
    EXPECT_LT(slope(corner, flat), 1e-12) << "seed " << seed;
  }
}

TEST(Aims, KeepStaticToeByTheLinksLength) {
  for (const HeightAim aim : {HeightAim::least_squares, HeightAim::smallest_peak, HeightAim::zero_slope}) {
    const Corner corner = make_corner(strut_set());
    const BestHeight best = best_height(corner, driving_of(40, 40, aim));
    const ToeCurve curve = toe_curve("", corner, best.height_mm, {40.0, 40.0});
    const Eigen::Vector3d inner = strut_set().position_vehicle_mm("link_inner_joint");
    const Eigen::Vector3d outer = strut_set().position_vehicle_mm("link_outer_joint");
    const double before = (outer - inner).norm();
    const double after = (outer + best.height_mm * corner.stud_axis_vehicle - inner).norm();
    EXPECT_NEAR(curve.link_length_change_mm, after - before, 1e-9);
    EXPECT_NEAR(solved_at(with_rod_end_height(corner, best.height_mm), 0.0).toe_rad, corner.wheel.toe_rad,
                1e-14);
  }
}

TEST(Aims, ChangeWithEveryCoordinateAsTheirDerivativesSay) {
  for (const Layout layout : {Layout::strut, Layout::double_wishbone})
    for (const HeightAim aim : {HeightAim::least_squares, HeightAim::smallest_peak, HeightAim::zero_slope}) {
      const Corner corner = make_corner(example_set(layout));
      const Driving driving = driving_of(35.0, 45.0, aim, some_weights);
      const BestHeight best = best_height(corner, driving);
      ASSERT_TRUE(best.found);
      for (Eigen::Index i = 0; i < best.by_coordinate.size(); ++i) {
        const auto moved = [&](double by) {
          Corner other = corner;
          other.points[static_cast<std::size_t>(i / 3)].position_vehicle_mm[i % 3] += by;
          return best_height(other, driving).height_mm;
        };
        EXPECT_NEAR(best.by_coordinate[i], (moved(0.01) - moved(-0.01)) / 0.02, 2e-5)
            << name_of(aim) << " coordinate " << i;
      }
    }
}

TEST(Aims, HeavyDroopMakesDroopFlatter) {
  const Corner corner = make_corner(strut_set());
  const Driving even = driving_of(40.0, 80.0, HeightAim::least_squares);
  Driving heavy = even;
  heavy.weights = {{-30.0, 50.0}, {-20.0, 1.0}};
  const auto at_full_droop = [&](const Driving& driving) {
    const BestHeight best = best_height(corner, driving);
    return std::abs(toe_curve("", corner, best.height_mm, driving.travel).toe_change_rad.front());
  };
  EXPECT_LT(at_full_droop(heavy), at_full_droop(even));
}

TEST(Aims, OfAPerfectlyCurableCornerAgree) {
  Parallelogram high;
  high.outer_high_mm = 7.0;
  HardpointSet set = high.set();
  set.covariance_mm2 = 0.04 * Eigen::MatrixXd::Identity(27, 27);
  for (const HeightAim aim : {HeightAim::least_squares, HeightAim::smallest_peak, HeightAim::zero_slope}) {
    const BestHeight best = best_height(make_corner(set), driving_of(40, 40, aim));
    ASSERT_TRUE(best.found);
    EXPECT_NEAR(best.height_mm, -7.0, 1e-6);
    EXPECT_GT(best.sigma_mm, 0.05);
  }
}

}  // namespace
}  // namespace pivotfix
