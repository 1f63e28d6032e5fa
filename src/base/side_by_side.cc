// SPDX-License-Identifier: Apache-2.0
#include "base/side_by_side.h"

#include <algorithm>
#include <atomic>
#include <exception>
#include <mutex>
#include <thread>
#include <vector>

namespace pivotfix {

int cores() {
  return std::max(1, static_cast<int>(std::thread::hardware_concurrency()));
}

void side_by_side(std::size_t count, int threads, const std::function<void(std::size_t)>& work) {
  std::atomic<std::size_t> next{0};
  std::atomic<bool> failed{false};
  std::mutex mutex;
  std::size_t lowest = count;
  std::exception_ptr failure;
  const auto take_turns = [&] {
    while (!failed) {  // asked before a number is taken: one that was handed out is worked on
      const std::size_t i = next++;
      if (i >= count) return;
      try {
        work(i);
      } catch (...) {
        const std::lock_guard lock(mutex);
        failed = true;
        if (i >= lowest) continue;
        lowest = i;
        failure = std::current_exception();
      }
    }
  };
  {
    std::vector<std::jthread> others;
    const auto wanted = std::min(count, static_cast<std::size_t>(std::max(1, threads)));
    for (std::size_t i = 1; i < wanted; ++i) others.emplace_back(take_turns);
    take_turns();
  }
  if (failure) std::rethrow_exception(failure);
}

}  // namespace pivotfix
