// SPDX-License-Identifier: Apache-2.0
// Smallest peak, zero slope and weights against brute force on the exact model. All corners are invented.
#include <gtest/gtest.h>

#include <cmath>

#include "advice/brute_force.h"
#include "advice/height.h"
#include "corner/example_corners.h"

namespace pivotfix {
namespace {

// The bar: within 0.02 mm of brute force on the exact model.
TEST(Aims, AreWithinTwoHundredthsOfAMillimetreOfBruteForce) {
  for (unsigned seed = 0; seed < 12; ++seed) {
    const Layout layout = seed % 4 < 2 ? Layout::strut : Layout::double_wishbone;
    const Corner corner = make_corner(random_plausible_set(layout, seed, 8.0));
    const HeightMisses misses = height_misses(corner, 30.0 + seed, 55.0 - seed,
                                              seed % 3 == 0 ? some_weights : std::vector<TravelWeight>{});
    EXPECT_LT(misses.least_squares_mm, 0.02) << "seed " << seed;
    EXPECT_LT(misses.smallest_peak_mm, 0.02) << "seed " << seed;
    EXPECT_LT(misses.zero_slope_mm, 0.02) << "seed " << seed;
  }
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
