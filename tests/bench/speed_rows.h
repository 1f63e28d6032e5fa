// SPDX-License-Identifier: Apache-2.0
// What speed_bench measures. Each function registers benchmarks and says which of their counters are rows of
// the table; `set` must outlive the run.
#pragma once

#include "bench/speed_table.h"
#include "bench/timed_photos.h"

namespace pivotfix::bench {

// Tag search with refinement against libapriltag and OpenCV's detector.
void add_search_rows(const TimedSet& set, SpeedTable& table);

// Whole `pivotfix locate` against only decoding the same photos, and its memory.
void add_locate_rows(const TimedSet& set, SpeedTable& table);

// Its memory with 500 photos, made out of the set's.
void add_many_photos_row(const TimedSet& set, SpeedTable& table);

// How long the program takes to start, and `pivotfix steer` from a hardpoint file.
void add_start_rows(SpeedTable& table);

}  // namespace pivotfix::bench
