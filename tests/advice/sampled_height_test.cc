// SPDX-License-Identifier: Apache-2.0
// When derivatives do not tell the height's uncertainty, draws must. All corners are invented.
#include "advice/sampled_height.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "advice/height_search.h"
#include "corner/example_corners.h"

namespace pivotfix {
namespace {

const Driving zero_slope{"", {40.0, 40.0}, {}, HeightAim::zero_slope};

constexpr double inner_joint_y_mm = 100.0;  // a long link
constexpr double absurd_mm = 150.0;         // bends the height

// Only the inner joint's place across the car is uncertain.
HardpointSet uncertain_across(double sigma_mm) {
  HardpointSet set = converging_set(inner_joint_y_mm, 252.5);
  const Eigen::Index n = static_cast<Eigen::Index>(3 * set.points.size());
  const Eigen::Index across = static_cast<Eigen::Index>(3 * set.index_of("link_inner_joint")) + 1;
  set.covariance_mm2 = Eigen::MatrixXd::Zero(n, n);
  set.covariance_mm2(across, across) = sigma_mm * sigma_mm;
  return set;
}

// First order, planar, upright stud: -(tan link - tan ideal) / (1 / L - 1 / D)  (derived), here by the inner
// joint's place across; `shift_mm` outwards.
double height_in_closed_form_mm(const Corner& corner, double shift_mm) {
  const FrontView view = front_view(corner);
  const double link_rise_mm =
      point_named(corner, "link_outer_joint").z() - point_named(corner, "link_inner_joint").z();
  const double across_mm = 695.0 - inner_joint_y_mm - shift_mm;
  const double to_centre_mm = 695.0 - view.instant_centre_yz_mm.x();
  const double ideal = std::tan(view.link_angle_rad - view.effective_mismatch_rad);
  return -(link_rise_mm / across_mm - ideal) / (1.0 / across_mm - 1.0 / to_centre_mm);
}

TEST(SampledHeight, IsNotNeededWhereThePointsAreWellKnown) {
  const Corner corner = make_corner(uncertain_across(0.3));
  EXPECT_TRUE(derivatives_suffice(corner, zero_slope, best_height(corner, zero_slope)));
}

TEST(SampledHeight, HasTheSpreadAndTheRangeOfTheClosedForm) {
  constexpr double sigma_mm = absurd_mm;
  const Corner corner = make_corner(uncertain_across(sigma_mm));
  const BestHeight best = best_height(corner, zero_slope);
  EXPECT_FALSE(derivatives_suffice(corner, zero_slope, best));
  double squares = 0.0, weights = 0.0;
  for (double deviate = -5.0; deviate <= 5.0; deviate += 0.01) {
    const double weight = std::exp(-0.5 * deviate * deviate);
    weights += weight;
    squares += weight * std::pow(height_in_closed_form_mm(corner, deviate * sigma_mm) -
                                     height_in_closed_form_mm(corner, 0.0),
                                 2);
  }
  const double end = height_in_closed_form_mm(corner, 1.96 * sigma_mm);
  const double other_end = height_in_closed_form_mm(corner, -1.96 * sigma_mm);
  const HeightDraws draws = draw_heights(corner, zero_slope, best);
  EXPECT_NEAR(draws.sigma_mm, std::sqrt(squares / weights), 0.07 * draws.sigma_mm);
  const double width = draws.high_mm - draws.low_mm;
  EXPECT_NEAR(draws.low_mm, std::min(end, other_end), 0.08 * width);
  EXPECT_NEAR(draws.high_mm, std::max(end, other_end), 0.08 * width);
  EXPECT_GT(std::abs(draws.sigma_mm / best.sigma_mm - 1.0), 0.05)
      << "derivatives would have told another one";
}

TEST(SampledHeight, IsTheSameEachTime) {
  const Corner corner = make_corner(uncertain_across(absurd_mm));
  const BestHeight best = best_height(corner, zero_slope);
  EXPECT_EQ(draw_heights(corner, zero_slope, best).sigma_mm, draw_heights(corner, zero_slope, best).sigma_mm);
}

TEST(Advise, SaysWhenTheHeightsUncertaintyComesFromDraws) {
  const Advice bent = advise({uncertain_across(absurd_mm), {}, zero_slope, {}});
  ASSERT_TRUE(bent.height_draws.has_value());
  EXPECT_EQ(bent.best_height_change_mm.sigma, bent.height_draws->sigma_mm);
  EXPECT_THAT(bent.warnings,
              testing::Contains(testing::HasSubstr("by 1000 draws instead of by derivatives")));
  EXPECT_FALSE(advise({uncertain_across(0.3), {}, zero_slope, {}}).height_draws.has_value());
}

}  // namespace
}  // namespace pivotfix
