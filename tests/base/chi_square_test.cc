// SPDX-License-Identifier: Apache-2.0
#include "base/chi_square.h"

#include <gtest/gtest.h>

namespace pivotfix {
namespace {

// Percentiles as printed in any table of the chi square distribution.
TEST(ChiSquare, AgreesWithPrintedTables) {
  EXPECT_NEAR(chi_square_probability(3.841459, 1), 0.05, 1e-7);
  EXPECT_NEAR(chi_square_probability(6.634897, 1), 0.01, 1e-8);
  EXPECT_NEAR(chi_square_probability(5.991465, 2), 0.05, 1e-7);
  EXPECT_NEAR(chi_square_probability(7.814728, 3), 0.05, 1e-7);
  EXPECT_NEAR(chi_square_probability(11.344867, 3), 0.01, 1e-8);
  EXPECT_NEAR(chi_square_probability(9.487729, 4), 0.05, 1e-7);
  EXPECT_NEAR(chi_square_probability(18.307038, 10), 0.05, 1e-7);
  EXPECT_EQ(chi_square_probability(0.0, 3), 1.0);
}

TEST(ChiSquare, PercentilesAreThoseOfPrintedTables) {
  EXPECT_NEAR(chi_square_at(0.05, 1), 3.841459, 1e-6);
  EXPECT_NEAR(chi_square_at(0.01, 3), 11.344867, 1e-6);
  EXPECT_NEAR(chi_square_at(0.001, 3), 16.266236, 1e-6);
  EXPECT_NEAR(chi_square_at(0.05, 24), 36.415029, 1e-6);
  EXPECT_NEAR(chi_square_at(0.95, 10), 3.940299, 1e-6);
  EXPECT_NEAR(chi_square_probability(chi_square_at(1e-150, 3), 3) / 1e-150, 1.0, 1e-6);
}

}  // namespace
}  // namespace pivotfix
