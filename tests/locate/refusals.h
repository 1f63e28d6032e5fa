// SPDX-License-Identifier: Apache-2.0
// What the locate stage says when it refuses.
#pragma once

#include <gtest/gtest.h>

#include <functional>
#include <string>

#include "base/problem.h"

namespace pivotfix {

inline std::string refusal_of(const std::function<void()>& work) {
  try {
    work();
  } catch (const Problem& problem) {
    EXPECT_EQ(problem.kind(), ProblemKind::refused);
    EXPECT_FALSE(problem.remedy().empty());
    return problem.what_happened();
  }
  return "not refused";
}

inline void expect_refusal(const std::function<void()>& work, const std::string& sentence) {
  EXPECT_EQ(refusal_of(work), sentence);
}

}  // namespace pivotfix
