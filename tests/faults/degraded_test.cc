// SPDX-License-Identifier: Apache-2.0
// A few of the jobs of degraded_bench, which runs a thousand of them.
#include <gtest/gtest.h>

#include "faults/degraded_jobs.h"

namespace pivotfix::degraded {
namespace {

TEST(DegradedJobs, AGoodOneIsRightAndNothingIsSaid) {
  const Result result = run_job(0);
  EXPECT_EQ(result.end, End::plain) << result.says;
  EXPECT_FALSE(result.wrong()) << result.height_error_mm << " +- " << result.height_sigma_mm;
  EXPECT_GT(result.height_sigma_mm, 0.0);
}

TEST(DegradedJobs, AreNeverWrongWithoutAWarning) {
  int wrong = 0, refused = 0;
  for (unsigned number = 1; number <= 60; ++number) {
    const Result result = run_job(number);
    wrong += result.wrong();
    refused += result.end == End::refused;
    EXPECT_FALSE(result.missed()) << number << ": " << result.height_error_mm << " +- "
                                  << result.height_sigma_mm << " "
                                  << (result.degradations.empty() ? "" : result.degradations.front());
  }
  EXPECT_GT(wrong + refused, 5) << "the degradations must hurt";
}

}  // namespace
}  // namespace pivotfix::degraded
