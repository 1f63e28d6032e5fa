// SPDX-License-Identifier: Apache-2.0
// Independent pieces of work on several threads.
#pragma once

#include <cstddef>
#include <functional>

namespace pivotfix {

// As many threads as the machine has cores; at least one.
int cores();

// Calls work(0) to work(count - 1) on at most `threads` threads, this one among them, and returns when all
// are done. Numbers are handed out in order. No call may touch what another one writes; then nothing depends
// on the number of threads. When calls throw, no further ones begin, and the exception of the lowest number
// among them is thrown here: it is the same whatever the timing.
void side_by_side(std::size_t count, int threads, const std::function<void(std::size_t)>& work);

}  // namespace pivotfix
