// SPDX-License-Identifier: Apache-2.0
#include "base/checksum.h"

#include <gtest/gtest.h>

namespace pivotfix {
namespace {

// From the specification of XXH64 (its reference implementation's answer for the empty input), and of `xxhsum
// -H1`.
TEST(Checksum, IsThatOfTheReferenceProgram) {
  EXPECT_EQ(xxh64(std::string_view()), "ef46db3751d8e999");
  EXPECT_EQ(xxh64("pivotfix"), "0fd7c6e85e975c03");
}

}  // namespace
}  // namespace pivotfix
