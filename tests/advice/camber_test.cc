// SPDX-License-Identifier: Apache-2.0
// What a camber that nobody entered does to the answer. The oracle is the same corner with the camber stated
// at either end of what is assumed. All corners are invented.
#include "corner/camber.h"

#include <gtest/gtest.h>

#include <cmath>

#include "advice/made_up_sets.h"
#include "advice/verify.h"
#include "advice/words_of_advice.h"
#include "base/units.h"

namespace pivotfix {
namespace {

constexpr double assumed_rad = 1.5 * rad_per_deg;  // written down once more: docs/job-file.md
const char* not_entered = "Camber was not entered: 0 ± 1.5 deg is assumed, which adds ± ";

HardpointSet with_camber(HardpointSet set, double camber_rad) {
  set.wheel.camber_rad = camber_rad;
  set.wheel.camber_is_known = true;
  return set;
}

HardpointSet without_camber(HardpointSet set) {
  set.wheel.camber_rad = 0.0;
  set.wheel.camber_is_known = false;
  return set;
}

Advice advice_on(const HardpointSet& set, HeightAim aim = HeightAim::least_squares) {
  return advise({set, some_rod_end(), {"", {40.0, 40.0}, {}, aim}, {}});
}

TEST(CamberNotEntered, IsInTheUncertaintyOfEveryBestHeight) {
  for (const Layout layout : {Layout::strut, Layout::double_wishbone})
    for (const HeightAim aim : {HeightAim::least_squares, HeightAim::smallest_peak, HeightAim::zero_slope}) {
      const HardpointSet set = with_sigma(example_set(layout), 0.1);
      const Advice stated = advice_on(with_camber(set, 0.0), aim);
      const Advice more = advice_on(with_camber(set, assumed_rad), aim);
      const Advice less = advice_on(with_camber(set, -assumed_rad), aim);
      const Advice open = advice_on(without_camber(set), aim);
      for (std::size_t i = 0; i < stated.heights.size(); ++i) {
        const double by_camber_mm =
            0.5 * (more.heights[i].height_change_mm.value - less.heights[i].height_change_mm.value);
        EXPECT_NEAR(open.heights[i].height_change_mm.value, stated.heights[i].height_change_mm.value, 1e-9);
        EXPECT_NEAR(open.heights[i].height_change_mm.sigma,
                    std::hypot(stated.heights[i].height_change_mm.sigma, by_camber_mm), 1e-4)
            << name_of(layout) << " " << name_of(aim) << " " << i;
      }
      EXPECT_GT(open.height_sigma_by_camber_mm, 0.0);
      EXPECT_EQ(stated.height_sigma_by_camber_mm, 0.0);
      EXPECT_GT(open.effective_mismatch_rad.sigma, stated.effective_mismatch_rad.sigma);
      EXPECT_EQ(open.mismatch_rad.sigma, stated.mismatch_rad.sigma) << "no wheel in it";
    }
}

TEST(CamberNotEntered, IsInTheUncertaintyOfTheToeCurve) {
  const HardpointSet set = with_sigma(strut_set(), 0.1);
  const ToeCurve stated = advice_on(with_camber(set, 0.0)).now;
  const ToeCurve more = advice_on(with_camber(set, assumed_rad)).now;
  const ToeCurve less = advice_on(with_camber(set, -assumed_rad)).now;
  const ToeCurve open = advice_on(without_camber(set)).now;
  for (std::size_t i = 0; i < open.travel_mm.size(); ++i)
    EXPECT_NEAR(
        open.toe_change_sigma_rad[i],
        std::hypot(stated.toe_change_sigma_rad[i], 0.5 * (more.toe_change_rad[i] - less.toe_change_rad[i])),
        1e-7);
  EXPECT_GT(open.toe_change_sigma_rad.back(), 1.001 * stated.toe_change_sigma_rad.back());
}

TEST(CamberNotEntered, IsSaidWhereItMattersWithWhatToDo) {
  const HardpointSet set = with_sigma(strut_set(), 0.05);
  const Advice open = advice_on(without_camber(set));
  ASSERT_GT(open.height_sigma_by_camber_mm, 0.05);
  EXPECT_TRUE(has(open.warnings, not_entered)) << all(open);
  EXPECT_TRUE(has(open.warnings, "Enter it: camber under [wheel] in a job"));
  EXPECT_FALSE(says(advice_on(with_camber(set, 0.0)), "Camber was not entered"));
  const Advice vague = advice_on(without_camber(with_sigma(strut_set(), 3.0)));
  EXPECT_FALSE(says(vague, "Camber was not entered")) << "it hardly adds to millimetres";
}

// Toe without camber turns the wheel about the vertical, and caster's change not at all.
TEST(ToeNotEntered, MovesNoHeightThatAnyoneSets) {
  for (const Layout layout : {Layout::strut, Layout::double_wishbone}) {
    HardpointSet in = example_set(layout), out = in;
    in.wheel.toe_rad = rad_from_deg(0.5);
    out.wheel.toe_rad = rad_from_deg(-0.5);
    EXPECT_NEAR(advice_on(in).best_height_change_mm.value, advice_on(out).best_height_change_mm.value, 0.05)
        << name_of(layout);
  }
}

TEST(CamberNotEntered, TakesItsShareOfTheDoubtFromThePoints) {
  const Advice open = advice_on(without_camber(with_sigma(strut_set(), 0.05)));
  double sum = std::pow(open.height_sigma_by_camber_mm / open.best_height_change_mm.sigma, 2);
  for (const HeightShare& share : open.shares) sum += share.share;
  EXPECT_NEAR(sum, 1.0, 1e-9);
}

TEST(CamberFromPhotos, CountsWithItsOwnUncertainty) {
  HardpointSet set = with_sigma(strut_set(), 0.05);
  const double open_mm = advice_on(without_camber(set)).height_sigma_by_camber_mm;
  set.wheel.camber_from_photos = true;
  set.wheel.camber_sigma_rad = 0.1 * assumed_rad;
  const Advice advice = advice_on(set);
  EXPECT_NEAR(advice.height_sigma_by_camber_mm, 0.1 * open_mm, 0.02 * open_mm);
  EXPECT_FALSE(says(advice, "Camber was not entered"));
}

// Readings of the very car, whose camber nobody entered and is 3 degrees: no contradiction.
TEST(CamberNotEntered, IsNoContradictionOfReadings) {
  const HardpointSet set = with_sigma(strut_set(), 0.02);
  const Corner truth = make_corner(with_camber(set, -2.0 * assumed_rad));
  std::vector<ToeReading> readings;
  for (const double travel_mm : {0.0, 25.4, -25.4, 40.0})
    readings.push_back({travel_mm, solve_state(truth, travel_mm).toe_rad, rad_from_deg(0.002), 0.0});
  EXPECT_TRUE(verify(make_corner(without_camber(set)), {}, readings).verification.consistent);
  EXPECT_FALSE(verify(make_corner(with_camber(set, 0.0)), {}, readings).verification.consistent);
}

TEST(CamberNotEntered, AddsNothingWhereNothingIsKnownOfUncertainties) {
  const Advice open = advice_on(without_camber(strut_set()));
  EXPECT_EQ(open.best_height_change_mm.sigma, 0.0);
  EXPECT_EQ(open.now.toe_change_sigma_rad.back(), 0.0);
}

}  // namespace
}  // namespace pivotfix
