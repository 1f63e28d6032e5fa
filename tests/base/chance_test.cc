// SPDX-License-Identifier: Apache-2.0
// How much wider few degrees of freedom make what rests on them. Oracle: the printed table of Student's
// distribution.
#include "base/chance.h"

#include <gtest/gtest.h>

namespace pivotfix {
namespace {

TEST(Chance, WidensOneAndTwoDegreesToStudentsTable) {
  EXPECT_NEAR(std::sqrt(variance_widened_for_few(1.0)) * 1.96, 12.706, 1e-9);
  EXPECT_NEAR(std::sqrt(variance_widened_for_few(2.0)) * 1.96, 4.303, 1e-9);
}

TEST(Chance, WidensMoreDegreesByTheVarianceOfStudentsDistribution) {
  EXPECT_DOUBLE_EQ(variance_widened_for_few(3.0), 3.0);
  EXPECT_DOUBLE_EQ(variance_widened_for_few(4.0), 2.0);
  EXPECT_NEAR(variance_widened_for_few(1e9), 1.0, 1e-8);
}

}  // namespace
}  // namespace pivotfix
