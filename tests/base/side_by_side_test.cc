// SPDX-License-Identifier: Apache-2.0
#include "base/side_by_side.h"

#include <gtest/gtest.h>

#include <atomic>
#include <chrono>
#include <stdexcept>
#include <string>
#include <thread>
#include <vector>

namespace pivotfix {
namespace {

TEST(SideBySide, EachNumberIsWorkedOnOnce) {
  for (const int threads : {-1, 1, 2, 7, 100}) {
    std::vector<int> times(50);
    side_by_side(times.size(), threads, [&](std::size_t i) { ++times[i]; });
    EXPECT_EQ(times, std::vector<int>(50, 1)) << threads << " threads";
  }
  side_by_side(0, 2, [](std::size_t) { FAIL(); });
}

// Two that wait for each other end only where both run.
TEST(SideBySide, TwoThreadsWorkAtTheSameTime) {
  std::atomic<int> there{0};
  side_by_side(2, 2, [&](std::size_t) {
    ++there;
    const auto end = std::chrono::steady_clock::now() + std::chrono::seconds(20);
    while (there < 2 && std::chrono::steady_clock::now() < end) std::this_thread::yield();
    EXPECT_EQ(there, 2);
  });
}

// The fifth fails later than the sixth, and is the one that is told.
TEST(SideBySide, TheLowestNumberThatFailsIsToldWhateverTheTiming) {
  for (int draw = 0; draw < 20; ++draw) {
    std::string told;
    try {
      side_by_side(100, 3, [](std::size_t i) {
        if (i == 5) std::this_thread::sleep_for(std::chrono::milliseconds(2));
        if (i >= 5) throw std::runtime_error(std::to_string(i));
      });
    } catch (const std::runtime_error& error) {
      told = error.what();
    }
    EXPECT_EQ(told, "5");
  }
}

TEST(SideBySide, AfterAFailureNothingNewBegins) {
  std::atomic<int> begun{0};
  EXPECT_THROW(side_by_side(1000, 2,
                            [&](std::size_t) {
                              ++begun;
                              throw std::runtime_error("no");
                            }),
               std::runtime_error);
  EXPECT_LE(begun, 2);
}

}  // namespace
}  // namespace pivotfix
