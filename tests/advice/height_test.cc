// SPDX-License-Identifier: Apache-2.0
// Best heights against closed forms, brute force and Monte Carlo. All corners are invented.
#include "advice/height.h"

#include <gtest/gtest.h>

#include <Eigen/Cholesky>
#include <random>

#include "advice/made_up_sets.h"
#include "base/units.h"
#include "corner/example_corners.h"

namespace pivotfix {
namespace {

const Travel travel{40.0, 40.0};

// The integral of squared toe change by Simpson's rule on its own, finer grid.
double squared_toe(const Corner& corner, double height_mm, const Travel& over) {
  const Corner changed = with_rod_end_height(corner, height_mm);
  const auto side = [&](const Travel& one, double length) {
    const Curve curve = solve_curve(changed, one, length / 200.0);
    double sum = 0.0;
    for (std::size_t i = 0; i < curve.states.size(); ++i) {
      const double toe = curve.states[i].toe_rad - corner.wheel.toe_rad;
      const bool end = i == 0 || i + 1 == curve.states.size();
      sum += (end ? 1.0 : i % 2 == 1 ? 4.0 : 2.0) * toe * toe;
    }
    return sum * length / 600.0;
  };
  return side({over.bump_mm, 0.0}, over.bump_mm) + side({0.0, over.droop_mm}, over.droop_mm);
}

// Invented, correlated: a common part, as from a scale error, and one of its own for each coordinate.
Eigen::MatrixXd some_covariance(Eigen::Index n, unsigned seed) {
  std::mt19937 random(seed);
  std::normal_distribution<double> normal(0.0, 1.0);
  Eigen::MatrixXd root(n, n + 4);
  for (double& element : root.reshaped()) element = 0.08 * normal(random);
  return root * root.transpose();
}

TEST(BestHeight, OfALinkOfTheArmsLengthMakesTheCurveVanish) {
  Parallelogram high;
  high.outer_high_mm = 10.0;
  const BestHeight best = best_height(make_corner(high.set()), travel);
  ASSERT_TRUE(best.found);
  EXPECT_NEAR(best.height_mm, -10.0, 1e-6);
  EXPECT_LT(toe_curve("", make_corner(high.set()), best.height_mm, travel).largest_change_rad, 1e-9);
}

TEST(BestHeight, BeatsItsNeighboursAndBruteForce) {
  for (unsigned seed = 0; seed < 24; ++seed) {
    const Layout layout = seed % 4 < 2 ? Layout::strut : Layout::double_wishbone;
    const Corner corner = make_corner(random_plausible_set(layout, seed, 10.0));
    const Travel over{30.0 + seed, 50.0 - seed};
    const BestHeight best = best_height(corner, over);
    ASSERT_TRUE(best.found) << "seed " << seed;
    const double least = squared_toe(corner, best.height_mm, over);
    EXPECT_LT(least, squared_toe(corner, best.height_mm - 0.02, over)) << "seed " << seed;
    EXPECT_LT(least, squared_toe(corner, best.height_mm + 0.02, over)) << "seed " << seed;
    for (double height = -60.0; height <= 60.0; height += 3.0)
      EXPECT_LE(least, squared_toe(corner, height, over)) << "seed " << seed << " height " << height;
  }
}

TEST(BestHeight, MeetsTheConditionToAMillionthOfAMillimetre) {
  // Where the optimum's derivative changes sign, from the objective's own derivative.
  const Corner corner = make_corner(double_wishbone_set());
  const BestHeight best = best_height(corner, travel);
  const auto slope = [&](double height) {
    const Corner changed = with_rod_end_height(corner, height);
    const Curve curve = solve_curve(changed, travel, 1.0);
    double sum = 0.0;
    for (std::size_t i = 0; i < curve.states.size(); ++i) {
      const double weight = i == 0 || i + 1 == curve.states.size() ? 0.5 : 1.0;
      sum += weight * (curve.states[i].toe_rad - corner.wheel.toe_rad) *
             height_derivatives(changed, curve.states[i]).toe_by_height;
    }
    return sum;
  };
  EXPECT_LT(slope(best.height_mm - 1e-6), 0.0);
  EXPECT_GT(slope(best.height_mm + 1e-6), 0.0);
}

TEST(BestHeight, HasTheStandardUncertaintyOfAMonteCarloRun) {
  for (const Layout layout : {Layout::strut, Layout::double_wishbone}) {
    HardpointSet set = example_set(layout);
    const Eigen::Index n = static_cast<Eigen::Index>(3 * set.points.size());
    set.covariance_mm2 = some_covariance(n, 21);
    const Corner corner = make_corner(set);
    const BestHeight best = best_height(corner, travel);
    const ToeCurve now = toe_curve("", corner, 0.0, travel);
    const FrontViewDerivatives slopes = front_view_derivatives(corner);
    const Eigen::MatrixXd root = set.covariance_mm2.llt().matrixL();
    std::mt19937 random(5);
    std::normal_distribution<double> normal(0.0, 1.0);
    constexpr int runs = 600;  // spread of the spread: 1 / sqrt(2 * 600) = 2.9 %
    double squares_height = 0.0;
    double squares_toe = 0.0;
    double squares_mismatch = 0.0;
    const double mismatch = front_view(corner).effective_mismatch_rad;
    for (int run = 0; run < runs; ++run) {
      const Eigen::VectorXd moves =
          root * Eigen::VectorXd::NullaryExpr(n, [&](Eigen::Index) { return normal(random); });
      Corner moved = corner;
      for (std::size_t i = 0; i < moved.points.size(); ++i)
        moved.points[i].position_vehicle_mm += moves.segment<3>(static_cast<Eigen::Index>(3 * i));
      squares_height += std::pow(best_height(moved, travel).height_mm - best.height_mm, 2);
      squares_toe += std::pow(solved_at(moved, 40.0).toe_rad - solved_at(corner, 40.0).toe_rad, 2);
      squares_mismatch += std::pow(front_view(moved).effective_mismatch_rad - mismatch, 2);
    }
    ASSERT_GT(best.sigma_mm, 0.1);
    EXPECT_NEAR(std::sqrt(squares_height / runs) / best.sigma_mm, 1.0, 0.1) << name_of(layout);
    EXPECT_NEAR(std::sqrt(squares_toe / runs) / now.toe_change_sigma_rad.back(), 1.0, 0.1) << name_of(layout);
    const double sigma_mismatch =
        std::sqrt(slopes.effective_mismatch.dot(set.covariance_mm2 * slopes.effective_mismatch));
    EXPECT_NEAR(std::sqrt(squares_mismatch / runs) / sigma_mismatch, 1.0, 0.1) << name_of(layout);
  }
}

TEST(BestHeight, ChangesWithEveryCoordinateAsItsDerivativeSays) {
  for (const Layout layout : {Layout::strut, Layout::double_wishbone}) {
    const Corner corner = make_corner(example_set(layout));
    const BestHeight best = best_height(corner, travel);
    for (Eigen::Index i = 0; i < best.by_coordinate.size(); ++i) {
      const auto moved = [&](double by) {
        Corner other = corner;
        other.points[static_cast<std::size_t>(i / 3)].position_vehicle_mm[i % 3] += by;
        return best_height(other, travel).height_mm;
      };
      EXPECT_NEAR(best.by_coordinate[i], (moved(0.01) - moved(-0.01)) / 0.02, 1e-6) << "coordinate " << i;
    }
  }
}

TEST(BestHeight, DoesNotCareForAnErrorThatAllPointsShare) {
  HardpointSet set = strut_set();
  const Eigen::Index n = static_cast<Eigen::Index>(3 * set.points.size());
  set.covariance_mm2 = Eigen::MatrixXd::Zero(n, n);
  for (Eigen::Index r = 2; r < n; r += 3)
    for (Eigen::Index c = 2; c < n; c += 3) set.covariance_mm2(r, c) = 100.0;  // 10 mm, all heights together
  EXPECT_LT(best_height(make_corner(set), travel).sigma_mm, 1e-5);
}

TEST(BestHeight, IsNotFoundWhereTheInnerJointLiesAtTheInstantCentre) {
  // Turning about the instant centre moves rod end and link alike: moving the rod end has no effect on slope.
  HardpointSet set = converging_set(370.0, 250.0);
  const Eigen::Vector3d near_centre(-140.0, -979.245283, 269.433962);
  set.points[set.index_of("link_inner_joint")].position_vehicle_mm = near_centre;
  const BestHeight best = best_height(make_corner(set), {5.0, 5.0});
  EXPECT_FALSE(best.found);
}

TEST(ZeroSlopeHeight, MakesTheSlopeVanish) {
  for (unsigned seed = 0; seed < 24; ++seed) {
    const Corner corner =
        make_corner(random_plausible_set(seed % 4 < 2 ? Layout::strut : Layout::double_wishbone, seed, 10.0));
    const BestHeight flat = zero_slope_height(corner);
    ASSERT_TRUE(flat.found) << "seed " << seed;
    const ToeCurve curve = toe_curve("", corner, flat.height_mm, travel);
    EXPECT_NEAR(curve.slope_rad_mm, 0.0, 1e-13);
    EXPECT_NEAR(front_view(with_rod_end_height(corner, flat.height_mm)).effective_mismatch_rad, 0.0, 1e-10);
  }
}

// First order, planar, upright stud: h0 = -(tan link - tan ideal) / (1 / L - 1 / D)  (derived).
TEST(ZeroSlopeHeight, AgreesWithThePlanarFormulaToFirstOrder) {
  const Corner corner = make_corner(converging_set(370.688744, 252.5));
  const FrontView view = front_view(corner);
  const double link = std::tan(view.link_angle_rad);
  const double ideal = std::tan(view.link_angle_rad - view.effective_mismatch_rad);
  const double across = 695.0 - 370.688744;
  const double to_centre = 695.0 - view.instant_centre_yz_mm.x();
  const double first_order = -(link - ideal) / (1.0 / across - 1.0 / to_centre);
  EXPECT_NEAR(zero_slope_height(corner).height_mm, first_order, 0.01 * std::abs(first_order));
}

TEST(ParallelLinkHeight, MakesTheLinkParallelToTheArm) {
  for (const Layout layout : {Layout::strut, Layout::double_wishbone}) {
    const Corner corner = make_corner(random_plausible_set(layout, 2));
    const std::optional<double> height = parallel_link_height_mm(corner);
    ASSERT_TRUE(height.has_value());
    EXPECT_NEAR(front_view(with_rod_end_height(corner, *height)).mismatch_rad, 0.0, 1e-12);
  }
}

TEST(ToeCurve, HasTheFiguresOfTheClosedForm) {
  Parallelogram high;
  high.outer_high_mm = 10.0;
  const ToeCurve curve = toe_curve("as it is", make_corner(high.set()), 0.0, {50.0, 50.0});
  EXPECT_EQ(curve.title, "as it is");
  EXPECT_EQ(curve.travel_mm.front(), -50.0);
  EXPECT_EQ(curve.travel_mm.back(), 50.0);
  EXPECT_NEAR(curve.toe_change_rad.back(), high.toe_rad(50.0), 1e-14);
  EXPECT_NEAR(curve.largest_change_rad, std::abs(high.toe_rad(50.0)), 1e-14);
  EXPECT_NEAR(curve.one_inch_change_rad, high.toe_rad(25.4), 1e-14);
  EXPECT_NEAR(curve.slope_rad_mm, -10.0 / (140.0 * 350.0), 1e-15) << "closed form: -h / (a L)";
  EXPECT_EQ(curve.toe_change_sigma_rad.back(), 0.0);
  EXPECT_EQ(curve.toe_change_sigma_rad.size(), curve.travel_mm.size());
}

}  // namespace
}  // namespace pivotfix
