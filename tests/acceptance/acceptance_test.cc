// SPDX-License-Identifier: Apache-2.0
// The test on known lengths, on a network of three tags whose places are given.
#include "acceptance/acceptance.h"

#include <gtest/gtest.h>

namespace pivotfix {
namespace {

// Tags 1, 2 and 3 at right angles: 300, 400 and 500 mm apart, each coordinate known to `sigma_mm`.
Network right_angle(double sigma_mm) {
  Network network;
  const Eigen::Vector3d places[] = {{300, 0, 0}, {0, 0, 0}, {0, 400, 0}};
  for (int i = 0; i < 3; ++i)
    network.tags.push_back({i + 1, {Eigen::Quaterniond::Identity(), places[i]}, 40.0, 5, 1.0, 0.02});
  network.tag_covariance = Eigen::MatrixXd::Identity(18, 18) * sigma_mm * sigma_mm;
  return network;
}

std::string refusal(const Network& network, const std::vector<KnownLength>& known) {
  try {
    judge_lengths(network, known, {});
  } catch (const Problem& problem) {
    return problem.what();
  }
  return "";
}

TEST(JudgeLengths, FindsTheLargestErrorAndHoldsItAgainstItsLimit) {
  const std::vector<KnownLength> known{{1, 2, 300.02, 0.01}, {2, 3, 399.9, 0.01}, {1, 3, 500.0, 0.01}};
  const Acceptance strict = judge_lengths(right_angle(0.03), known, {0.09, 0.0});
  EXPECT_EQ(strict.worst, 1u);
  EXPECT_NEAR(strict.lengths[1].error_mm(), 0.1, 1e-9);
  EXPECT_NEAR(strict.lengths[0].error_mm(), -0.02, 1e-9);
  EXPECT_FALSE(strict.passed);
  // 0.09 mm and 0.05 mm for each metre: 0.11 mm at 0.4 m.
  EXPECT_TRUE(judge_lengths(right_angle(0.03), known, {0.09, 0.05}).passed);
}

// The larger error may be allowed where the smaller is not.
TEST(JudgeLengths, NamesTheErrorThatFails) {
  const std::vector<KnownLength> known{{1, 2, 300.12, 0.01}, {2, 3, 399.875, 0.01}};
  const Acceptance acceptance = judge_lengths(right_angle(0.03), known, {0.01, 0.3});
  EXPECT_FALSE(acceptance.passed);
  EXPECT_EQ(acceptance.worst, 0u);
  const std::string text = acceptance_text(acceptance);
  EXPECT_TRUE(text.starts_with(
      "NOT passed: the worst of 2 length errors is -0.120 mm (tags 1-2), allowed there 0.100 mm.\n"))
      << text;
  const Acceptance passed = judge_lengths(right_angle(0.03), known, {0.1, 0.3});
  EXPECT_TRUE(acceptance_text(passed).starts_with(
      "Passed: the largest of 2 length errors is 0.125 mm (tags 2-3), allowed there 0.220 mm.\n"));
}

TEST(JudgeLengths, StatesTheUncertaintyOfADifferenceOfTwoPlaces) {
  const Acceptance acceptance = judge_lengths(right_angle(0.03), {{1, 3, 500.0, 0.01}}, {});
  EXPECT_NEAR(acceptance.lengths[0].measured_sigma_mm, 0.03 * std::sqrt(2.0), 1e-9);
}

TEST(JudgeLengths, RefusesTheLengthThatMadeTheScale) {
  Network network = right_angle(0.03);
  network.scale_bars.push_back({{3, 2, 400.0, 0.1}, 400.0, 0.0});
  EXPECT_NE(refusal(network, {{2, 3, 400.0, 0.01}}).find("is a scale strip of the job"), std::string::npos);
}

TEST(JudgeLengths, RefusesATagThatWasNotMeasured) {
  EXPECT_NE(refusal(right_angle(0.03), {{1, 9, 400.0, 0.01}}).find("Tag 9 of the known length 1-9"),
            std::string::npos);
  EXPECT_NE(refusal(right_angle(0.03), {}).find("no known length"), std::string::npos);
}

TEST(JudgeLengths, SaysWhatAFullTestWouldNeed) {
  const Acceptance acceptance = judge_lengths(right_angle(0.03), {{1, 2, 300.0, 0.1}}, {});
  // One line of one length; 300 of two thirds of about 500 mm; 0.1 of 0.15 mm is more than a fifth.
  EXPECT_EQ(acceptance.short_of_guideline.size(), 4u);
  EXPECT_NE(acceptance_text(acceptance).find("VDI/VDE 2634 part 1 needs more"), std::string::npos);
}

}  // namespace
}  // namespace pivotfix
