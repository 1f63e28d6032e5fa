// SPDX-License-Identifier: Apache-2.0
// Prints the table of docs/speed.md. Takes Google Benchmark's options, for example --benchmark_filter=search.
// Ends with 1 when a bar is missed, or nothing was measured.
#include "bench/speed_rows.h"

int main(int count, char** arguments) {
  using namespace pivotfix::bench;
  benchmark::Initialize(&count, arguments);
  const TimedSet sample = sample_set();
  const TimedSet clutter =
      clutter_set(std::filesystem::path(PIVOTFIX_BINARY_DIR) / "speed_bench" / "clutter");
  SpeedTable table;
  for (const TimedSet* set : {&sample, &clutter}) add_locate_rows(*set, table);
  add_many_photos_row(clutter, table);
  for (const TimedSet* set : {&sample, &clutter}) add_search_rows(*set, table);
  add_start_rows(table);
  benchmark::RunSpecifiedBenchmarks(&table);
  return table.print() ? 0 : 1;
}
