// SPDX-License-Identifier: Apache-2.0
// How often a test kills what it tests: PIVOTFIX_KILLS in the environment, for those who have the time.
#pragma once

#include <cstdlib>

namespace pivotfix {

inline int rounds_wished(int usual) {
  const char* wish = std::getenv("PIVOTFIX_KILLS");
  return wish ? std::atoi(wish) : usual;
}

}  // namespace pivotfix
