// SPDX-License-Identifier: Apache-2.0
// Nineteen times out of twenty within two standard uncertainties, so every answer says. With few cars that
// holds only if it counts how little they tell of what cars differ by. `compare_bench` prints the whole
// table.
#include "pool/coverage.h"

#include <gtest/gtest.h>

namespace pivotfix {
namespace {

struct State {
  int cars = 2;
  double scatter_mm = 0.0;
};

class PoolCoverage : public testing::TestWithParam<State> {};

// Between 90 and 99.9 % within two; the coordinates of one pivot share their scatter, so 24 of a pool tell as
// much as some eight.
TEST_P(PoolCoverage, NineteenOfTwentyLieWithinTwoOfTheUncertaintyStated) {
  const auto [cars, scatter_mm] = GetParam();
  const Coverage found = coverage(51, cars, scatter_mm, 150);
  for (const Beyond& beyond : {found.one_more_car, found.mean}) {
    EXPECT_GT(beyond.two.percent(), 0.1);
    EXPECT_LT(beyond.two.percent(), 10.0);
    EXPECT_LT(beyond.three.percent(), 3.5);
  }
}

INSTANTIATE_TEST_SUITE_P(Of, PoolCoverage,
                         testing::Values(State{2, 0.0}, State{2, 0.3}, State{2, 1.0}, State{3, 0.3},
                                         State{3, 1.0}, State{4, 0.3}));

}  // namespace
}  // namespace pivotfix
