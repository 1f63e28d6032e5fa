// SPDX-License-Identifier: Apache-2.0
// What libFuzzer calls; see llvm.org/docs/LibFuzzer.html.
#pragma once

#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <string>

#include "base/problem.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);

namespace pivotfix {

inline std::string text_of(const std::uint8_t* data, std::size_t size) {
  return {reinterpret_cast<const char*>(data), size};
}

// A claim that holds whatever the input was.
inline void must_hold(bool holds, const char* claim) {
  if (holds) return;
  std::fprintf(stderr, "does not hold: %s\n", claim);
  std::abort();
}

// Whatever a reader meets it ends in a result or in a complaint about the file that says what and where.
template <typename Read>
bool read_or_complain(Read read) {
  try {
    read();
    return true;
  } catch (const Problem& problem) {
    must_hold(problem.kind() == ProblemKind::input || problem.kind() == ProblemKind::refused,
              "a complaint about a file has its exit code");
    must_hold(!problem.what_happened().empty() && !problem.place().file.empty(), "it says what and where");
  }
  return false;
}

}  // namespace pivotfix
