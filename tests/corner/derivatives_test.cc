// SPDX-License-Identifier: Apache-2.0
// Derivatives against central differences of the solver (two step sizes combined, error of fourth order),
// over random plausible corners.
#include <gtest/gtest.h>

#include "corner/corner.h"
#include "corner/front_view.h"
#include "example_corners.h"

namespace pivotfix {
namespace {

// Richardson's combination of two central differences.
template <typename Function>
double slope_of(Function function, double step) {
  const auto central = [&](double h) { return (function(h) - function(-h)) / (2.0 * h); };
  return (4.0 * central(step / 2.0) - central(step)) / 3.0;
}

// The solver works to about 1e-15 rad, so steps of a millimetre keep rounding below 1e-14 rad/mm.
constexpr double step_mm = 1.0;

Corner with_moved(const Corner& corner, Eigen::Index coordinate, double by_mm) {
  Corner moved = corner;
  moved.points[static_cast<std::size_t>(coordinate / 3)].position_vehicle_mm[coordinate % 3] += by_mm;
  return moved;
}

struct Case {
  Layout layout;
  unsigned seed;
  double travel_mm;
};

std::vector<Case> random_cases(unsigned count) {
  std::vector<Case> cases;
  for (unsigned seed = 0; seed < count; ++seed)
    cases.push_back(
        {all_layouts()[seed % 5], seed, -50.0 + 100.0 * static_cast<double>((seed * 37U) % 101U) / 100.0});
  return cases;
}

TEST(Derivatives, OfToeAndCamberByEveryCoordinateAgreeWithDifferences) {
  for (const Case& c : random_cases(300)) {
    const Corner corner = make_corner(random_plausible_set(c.layout, c.seed));
    const StateDerivatives exact = derivatives(corner, solved_at(corner, c.travel_mm));
    const double toe_size = exact.toe_by_coordinate.cwiseAbs().maxCoeff();
    const double camber_size = exact.camber_by_coordinate.cwiseAbs().maxCoeff();
    for (Eigen::Index i = 0; i < exact.toe_by_coordinate.size(); ++i) {
      const double toe = slope_of(
          [&](double by) { return solved_at(with_moved(corner, i, by), c.travel_mm).toe_rad; }, step_mm);
      const double camber = slope_of(
          [&](double by) { return solved_at(with_moved(corner, i, by), c.travel_mm).camber_rad; }, step_mm);
      ASSERT_NEAR(exact.toe_by_coordinate[i], toe, 1e-6 * toe_size + 1e-13)
          << "seed " << c.seed << " coordinate " << i;
      ASSERT_NEAR(exact.camber_by_coordinate[i], camber, 1e-6 * camber_size + 1e-13)
          << "seed " << c.seed << " coordinate " << i;
    }
  }
}

TEST(Derivatives, ByTravelAgreeWithDifferences) {
  for (const Case& c : random_cases(300)) {
    const Corner corner = make_corner(random_plausible_set(c.layout, c.seed));
    const CornerState state = solved_at(corner, c.travel_mm);
    const StateDerivatives exact = derivatives(corner, state);
    const double toe =
        slope_of([&](double by) { return solved_at(corner, c.travel_mm + by).toe_rad; }, step_mm);
    const double camber =
        slope_of([&](double by) { return solved_at(corner, c.travel_mm + by).camber_rad; }, step_mm);
    EXPECT_NEAR(state.toe_per_travel_rad_mm, toe, 1e-6 * std::abs(toe) + 1e-11) << "seed " << c.seed;
    EXPECT_NEAR(exact.camber_by_travel, camber, 1e-6 * std::abs(camber) + 1e-11) << "seed " << c.seed;
  }
}

TEST(Derivatives, OfToeByStaticCamberAgreeWithDifferences) {
  for (const Case& c : random_cases(100)) {
    const Corner corner = make_corner(random_plausible_set(c.layout, c.seed));
    const double by_camber = slope_of(
        [&](double by_rad) {
          Corner other = corner;
          other.wheel.camber_rad += by_rad;
          return solved_at(other, c.travel_mm).toe_rad;
        },
        0.01);
    EXPECT_NEAR(derivatives(corner, solved_at(corner, c.travel_mm)).toe_by_camber, by_camber, 1e-8)
        << "seed " << c.seed;
  }
}

TEST(Derivatives, ByRodEndHeightAgreeWithDifferencesToSecondOrder) {
  for (const Case& c : random_cases(300)) {
    const Corner corner = make_corner(random_plausible_set(c.layout, c.seed));
    const auto at_height = [&](double height) {
      const Corner changed = with_rod_end_height(corner, height);
      return height_derivatives(changed, solved_at(changed, c.travel_mm));
    };
    const HeightDerivatives exact = at_height(0.0);
    const double by_height = slope_of(
        [&](double h) { return solved_at(with_rod_end_height(corner, h), c.travel_mm).toe_rad; }, step_mm);
    EXPECT_NEAR(exact.toe_by_height, by_height, 1e-6 * std::abs(by_height) + 1e-12) << "seed " << c.seed;
    const double twice = slope_of([&](double h) { return at_height(h).toe_by_height; }, step_mm);
    EXPECT_NEAR(exact.toe_by_height_twice, twice, 1e-6 * std::abs(twice) + 1e-13) << "seed " << c.seed;
    const double slope = slope_of(
        [&](double h) {
          const Corner changed = with_rod_end_height(corner, h);
          return solved_at(changed, c.travel_mm).toe_per_travel_rad_mm;
        },
        step_mm);
    EXPECT_NEAR(exact.toe_by_travel_and_height, slope, 1e-6 * std::abs(slope) + 1e-13) << "seed " << c.seed;
    const double size = exact.toe_by_coordinate_and_height.cwiseAbs().maxCoeff();
    for (Eigen::Index i = 0; i < exact.toe_by_coordinate.size(); ++i)
      ASSERT_NEAR(exact.toe_by_coordinate_and_height[i],
                  slope_of([&](double h) { return at_height(h).toe_by_coordinate[i]; }, step_mm),
                  1e-6 * size + 1e-13)
          << "seed " << c.seed << " coordinate " << i;
  }
}

TEST(Derivatives, VanishAtRideHeightWhereToeIsSet) {
  const Corner corner = make_corner(strut_set());
  const StateDerivatives exact = derivatives(corner, solved_at(corner, 0.0));
  EXPECT_EQ(exact.toe_by_coordinate.cwiseAbs().maxCoeff(), 0.0);
  EXPECT_EQ(exact.camber_by_coordinate.cwiseAbs().maxCoeff(), 0.0);
}

TEST(Derivatives, OfACommonShiftAddUpToZero) {
  for (const Layout layout : {Layout::strut, Layout::double_wishbone}) {
    const Corner corner = make_corner(example_set(layout));
    const StateDerivatives exact = derivatives(corner, solved_at(corner, 45.0));
    for (int axis = 0; axis < 3; ++axis) {
      double sum = 0.0;
      for (Eigen::Index i = axis; i < exact.toe_by_coordinate.size(); i += 3)
        sum += exact.toe_by_coordinate[i];
      EXPECT_NEAR(sum, 0.0, 1e-16);
    }
  }
}

TEST(FrontViewDerivatives, AgreeWithDifferences) {
  int near_instant_centres = 0;
  for (const Case& c : random_cases(100)) {
    const Corner corner = make_corner(random_plausible_set(c.layout, c.seed));
    const FrontViewDerivatives exact = front_view_derivatives(corner);
    for (Eigen::Index i = 0; i < exact.arm_angle.size(); ++i) {
      const auto difference = [&](auto member) {
        return slope_of([&](double by) { return front_view(with_moved(corner, i, by)).*member; }, 0.2);
      };
      ASSERT_NEAR(exact.arm_angle[i], difference(&FrontView::arm_angle_rad), 1e-11);
      ASSERT_NEAR(exact.link_angle[i], difference(&FrontView::link_angle_rad), 1e-11);
      ASSERT_NEAR(exact.effective_mismatch[i], difference(&FrontView::effective_mismatch_rad), 1e-10);
      // The point runs away as arms become parallel, and differences with it.
      const FrontView view = front_view(corner);
      if (view.arms_parallel || view.instant_centre_yz_mm.norm() > 8000.0) continue;
      ++near_instant_centres;
      ASSERT_NEAR(exact.link_line_above_instant_centre[i],
                  difference(&FrontView::link_line_above_instant_centre_mm),
                  1e-5 * exact.link_line_above_instant_centre.cwiseAbs().maxCoeff())
          << "seed " << c.seed << " coordinate " << i;
    }
  }
  EXPECT_GT(near_instant_centres, 60 * 24);
}

}  // namespace
}  // namespace pivotfix
