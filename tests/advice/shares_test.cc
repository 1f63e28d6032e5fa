// SPDX-License-Identifier: Apache-2.0
// Which coordinate the height's uncertainty comes from. All corners are invented.
#include "advice/shares.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <random>

#include "advice/made_up_sets.h"
#include "advice/words_of_advice.h"
#include "hardpoints/workshop_words.h"

namespace pivotfix {
namespace {

TEST(Shares, SumToOneWithAnyCovarianceAndTellWhatKnowingOneCoordinateWouldBring) {
  HardpointSet set = strut_set();
  std::mt19937 random(2);
  std::normal_distribution<double> normal(0.0, 1.0);
  Eigen::MatrixXd root(24, 30);
  for (double& element : root.reshaped()) element = 0.08 * normal(random);
  set.covariance_mm2 = root * root.transpose();
  double sum = 0.0;
  for (const HeightShare& share : advise({set, some_rod_end(), {}, {}}).shares) sum += share.share;
  EXPECT_NEAR(sum, 1.0, 1e-12);

  // Without correlations: the variance that is gone when a coordinate is known exactly.
  set = with_sigma(strut_set(), 0.3);
  const Advice advice = advise({set, some_rod_end(), {}, {}});
  ASSERT_EQ(advice.shares.size(), 24U);
  for (std::size_t i = 0; i < 5; ++i) {
    const HeightShare& share = advice.shares[i];
    HardpointSet known = set;
    known.covariance_mm2(static_cast<Eigen::Index>(3 * share.point) + share.coordinate,
                         static_cast<Eigen::Index>(3 * share.point) + share.coordinate) = 0.0;
    const double left = advise({known, some_rod_end(), {}, {}}).best_height_change_mm.sigma;
    const double before = advice.best_height_change_mm.sigma;
    EXPECT_NEAR(share.share, 1.0 - left * left / (before * before), 1e-9) << share.words;
  }
}

// Two coordinates err together, and the height by three tenths of what the first would do alone: its share is
// 1 / 0.3, the other's 1 - 1 / 0.3.
TEST(Shares, BeyondTheWholeAreToldAsErrorsThatCancel) {
  HardpointSet set = with_sigma(strut_set(), 0.01);
  const std::vector<HeightShare> alone = advise({set, some_rod_end(), {}, {}}).shares;
  const HeightShare& first = alone.front();
  const auto second = std::find_if(alone.begin() + 1, alone.end(), [&](const HeightShare& share) {
    return share.mm_per_mm * first.mm_per_mm < 0.0 && share.point != first.point;
  });
  ASSERT_NE(second, alone.end());
  const auto index = [](const HeightShare& share) {
    return static_cast<Eigen::Index>(3 * share.point) + share.coordinate;
  };
  Eigen::VectorXd together = Eigen::VectorXd::Zero(set.covariance_mm2.rows());
  together[index(first)] = 5.0;
  together[index(*second)] = -0.7 * 5.0 * first.mm_per_mm / second->mm_per_mm;
  set.covariance_mm2 += together * together.transpose();
  const Advice advice = advise({set, some_rod_end(), {}, {}});
  ASSERT_NEAR(advice.shares.front().share, 1.0 / 0.3, 0.01);
  EXPECT_TRUE(says(advice, "the " + first.words + " counts for most in it, but its error and that of the " +
                               second->words + " partly cancel"))
      << all(advice);
  EXPECT_FALSE(says(advice, "333 %")) << all(advice);
}

TEST(Shares, OfHeightsAreTheLargest) {
  // Derived for made-up cars: heights of joints count ten times as much as their other coordinates.
  for (const Layout layout : {Layout::strut, Layout::double_wishbone}) {
    const Advice advice = advise({with_sigma(example_set(layout), 0.5), some_rod_end(), {}, {}});
    for (std::size_t i = 0; i < 3; ++i) EXPECT_TRUE(advice.shares[i].words.starts_with("height of the "));
  }
}

TEST(Shares, SpeakInWorkshopWordsForEveryHardpoint) {
  for (const Layout layout : {Layout::strut, Layout::double_wishbone})
    for (const std::string& name : hardpoint_names(layout)) {
      const std::string words = workshop_words(name);
      EXPECT_EQ(words.find('_'), std::string::npos);
      EXPECT_NE(words, name);
    }
  EXPECT_EQ(workshop_words("link_inner_joint"), "inner joint of the steering link");
}

}  // namespace
}  // namespace pivotfix
