// SPDX-License-Identifier: Apache-2.0
// How the link fits, against Euler and Savary's construction, circles of parallel arms, and the curve itself.
#include "corner/link_fit.h"

#include <gtest/gtest.h>

#include "example_corners.h"

namespace pivotfix {
namespace {

TEST(LinkFit, FindsTheIdealInnerJointOfEulerAndSavary) {
  // Derived in the plane: path centre of the rod end on its ray from the instant centre.
  const LinkFit fit = link_fit(make_corner(converging_set(362.785321, 253.856214)));
  ASSERT_TRUE(fit.has_ideal_length);
  EXPECT_NEAR(fit.ideal_inner_joint_vehicle_mm.y(), 370.688744, 1e-4);
  EXPECT_NEAR(fit.ideal_inner_joint_vehicle_mm.z(), 253.764474, 1e-4);
  EXPECT_NEAR(fit.ideal_link_length_mm, 324.3331, 1e-3);
  EXPECT_NEAR(fit.link_length_mm, 332.2371, 1e-3);
}

TEST(LinkFit, OfLevelUnequalParallelArmsIsTheHarmonicMeanOfTheirLengths) {
  // Derived: 1 / rho = (1 - share) / lower + share / upper, share of the way up; a drawing gives 375 instead.
  const HardpointSet set = set_from(Layout::double_wishbone, {{100, 300, 200},
                                                              {-100, 300, 200},
                                                              {0, 700, 200},
                                                              {100, 400, 400},
                                                              {-100, 400, 400},
                                                              {0, 700, 400},
                                                              {-140, 330, 250},
                                                              {-140, 700, 250},
                                                              {0, 740, 310}});
  const LinkFit fit = link_fit(make_corner(set));
  ASSERT_TRUE(fit.has_ideal_length);
  EXPECT_NEAR(fit.ideal_link_length_mm, 1.0 / (0.75 / 400.0 + 0.25 / 300.0), 1e-9);
  EXPECT_NEAR(fit.toe_slope_rad_mm, 0.0, 1e-15);
  EXPECT_NEAR(fit.toe_curvature_rad_mm2, -(1.0 / 370.0 - 1.0 / fit.ideal_link_length_mm) / 140.0, 1e-12);
}

TEST(LinkFit, OfAParallelogramWithAHighOuterEndSaysHowHighAndNothingElse) {
  Parallelogram parallelogram;
  parallelogram.outer_high_mm = 6.8;
  const LinkFit fit = link_fit(make_corner(parallelogram.set()));
  ASSERT_TRUE(fit.spacer_cures_slope);
  EXPECT_NEAR(fit.outer_end_too_high_mm, 6.8, 1e-10);
  EXPECT_NEAR(fit.inner_end_too_high_mm, -6.8, 1e-10) << "or the inner end is that much too low";
  EXPECT_NEAR(fit.curvature_left_rad_mm2, 0.0, 1e-15);
  EXPECT_NEAR(fit.ideal_link_length_mm, 350.0, 1e-9);
  EXPECT_NEAR(fit.toe_slope_rad_mm, -6.8 / (140.0 * 350.0), 1e-12);
}

// The curve's own behaviour after each cure, in space and in every layout.
TEST(LinkFit, CuresLeaveNoSlopeAndTheIdealJointNoCurvatureEither) {
  int cured = 0;
  for (const Layout layout : all_layouts())
    for (unsigned seed = 0; seed < 40; ++seed) {
      const Corner corner = make_corner(random_plausible_set(layout, seed));
      const LinkFit fit = link_fit(corner);
      if (!fit.spacer_cures_slope || !fit.has_ideal_length) continue;
      Corner then = with_rod_end_height(corner, -fit.outer_end_too_high_mm);
      EXPECT_NEAR(solve_state(then, 0.0).toe_per_travel_rad_mm, 0.0, 1e-14);
      EXPECT_NEAR(link_fit(then).toe_curvature_rad_mm2, fit.curvature_left_rad_mm2, 1e-14);
      const std::size_t inner = then.points.size() - 3;
      Corner low = corner;
      low.points[inner].position_vehicle_mm.z() -= fit.inner_end_too_high_mm;
      EXPECT_NEAR(solve_state(low, 0.0).toe_per_travel_rad_mm, 0.0, 1e-14);
      then.points[inner].position_vehicle_mm = fit.ideal_inner_joint_vehicle_mm;
      // What bump and droop have in common begins with the fourth order: half the travel, a sixteenth of it.
      const auto in_common = [&](double travel) {
        return solve_state(then, travel).toe_rad + solve_state(then, -travel).toe_rad -
               2.0 * then.wheel.toe_rad;
      };
      EXPECT_NEAR(in_common(4.0) - 16.0 * in_common(2.0), 0.0, 1e-10) << name_of(layout) << " " << seed;
      EXPECT_NEAR(link_fit(then).toe_curvature_rad_mm2, 0.0, 1e-14);
      ++cured;
    }
  EXPECT_GT(cured, 150);
}

TEST(LinkFit, CurvatureIsTheCurvesSecondDerivative) {
  for (const Layout layout : all_layouts()) {
    const Corner corner = make_corner(random_plausible_set(layout, 11));
    const auto mean_slope = [&](double step) {
      return (solve_state(corner, step).toe_per_travel_rad_mm -
              solve_state(corner, -step).toe_per_travel_rad_mm) /
             (2.0 * step);
    };
    const double second = (4.0 * mean_slope(0.5) - mean_slope(1.0)) / 3.0;
    EXPECT_NEAR(link_fit(corner).toe_curvature_rad_mm2, second, 1e-6 * std::abs(second) + 1e-13);
  }
}

TEST(LinkFitDerivatives, AgreeWithDifferences) {
  for (unsigned seed = 0; seed < 100; ++seed) {
    const Corner corner = make_corner(random_plausible_set(all_layouts()[seed % 5], seed));
    const LinkFitDerivatives exact = link_fit_derivatives(corner);
    const LinkFit fit = link_fit(corner);
    const auto check = [&](const Eigen::VectorXd& slopes, double LinkFit::*member, const char* name) {
      for (Eigen::Index c = 0; c < slopes.size(); ++c) {
        const auto at = [&](double by) {
          Corner moved = corner;
          moved.points[static_cast<std::size_t>(c / 3)].position_vehicle_mm[c % 3] += by;
          return link_fit(moved).*member;
        };
        const auto central = [&](double h) { return (at(h) - at(-h)) / (2.0 * h); };
        ASSERT_NEAR(slopes[c], (4.0 * central(0.05) - central(0.1)) / 3.0,
                    1e-6 * slopes.cwiseAbs().maxCoeff() + 1e-14)
            << name << " by coordinate " << c << ", seed " << seed;
      }
    };
    check(exact.toe_slope, &LinkFit::toe_slope_rad_mm, "slope");
    check(exact.toe_curvature, &LinkFit::toe_curvature_rad_mm2, "curvature");
    check(exact.inner_end_too_high, &LinkFit::inner_end_too_high_mm, "inner end");
    if (fit.spacer_cures_slope && std::abs(fit.outer_end_too_high_mm) < 50.0) {
      check(exact.outer_end_too_high, &LinkFit::outer_end_too_high_mm, "outer end");
      check(exact.curvature_left, &LinkFit::curvature_left_rad_mm2, "curvature left");
      check(exact.link_length, &LinkFit::link_length_mm, "length");
      if (fit.has_ideal_length && fit.ideal_link_length_mm < 2000.0)
        check(exact.ideal_link_length, &LinkFit::ideal_link_length_mm, "ideal length");
    }
    if (HasFatalFailure()) return;
  }
}

}  // namespace
}  // namespace pivotfix
