// SPDX-License-Identifier: Apache-2.0
#include "base/suggestion.h"

#include <gtest/gtest.h>

namespace pivotfix {
namespace {

TEST(EditDistance, CountsTheTextbookCases) {
  EXPECT_EQ(edit_distance("kitten", "sitting"), 3);
  EXPECT_EQ(edit_distance("", "abc"), 3);
  EXPECT_EQ(edit_distance("travle", "travel"), 1);  // neighbours swapped
  EXPECT_EQ(edit_distance("same", "same"), 0);
}

TEST(NearestWord, IsEmptyWhenNothingIsNear) {
  EXPECT_EQ(nearest_word("colour", {"bump", "droop"}), "");
  EXPECT_EQ(nearest_word("dropo", {"bump", "droop"}), "droop");
  EXPECT_EQ(nearest_word("", {"bump", "droop"}), "");
}

}  // namespace
}  // namespace pivotfix
