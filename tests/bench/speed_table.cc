// SPDX-License-Identifier: Apache-2.0
#include "bench/speed_table.h"

#include <cmath>
#include <cstdio>

namespace pivotfix::bench {

void SpeedTable::ReportRuns(const std::vector<Run>& runs) {
  for (const Run& run : runs) {
    // A benchmark that runs once has no aggregates.
    const bool once = run.run_type == Run::RT_Iteration && run.repetitions == 1;
    if (!once && run.aggregate_name != "median") continue;
    for (const auto& [name, counter] : run.counters)
      medians_[{run.run_name.function_name, name}] = counter.value;
  }
  ConsoleReporter::ReportRuns(runs);
}

bool SpeedTable::print() const {
  std::size_t measured = 0, all_missed = 0;
  std::printf("\n| measure | reached | bar |\n|---|---|---|\n");
  for (const SpeedRow& row : rows_) {
    const auto found = medians_.find({row.benchmark, row.counter});
    if (found == medians_.end()) continue;
    std::printf("| %s | %.3g | ", row.measure.c_str(), found->second);
    if (!std::isnan(row.at_most)) std::printf("at most %.3g", row.at_most);
    if (!std::isnan(row.at_least)) std::printf("at least %.3g", row.at_least);
    const bool missed =
        std::isnan(found->second) || found->second > row.at_most || found->second < row.at_least;
    std::printf("%s |\n", missed ? " (missed)" : "");
    ++measured;
    all_missed += missed ? 1 : 0;
  }
  if (measured < rows_.size())
    std::printf("\n%zu of %zu rows were not measured.\n", rows_.size() - measured, rows_.size());
  return measured > 0 && all_missed == 0;
}

}  // namespace pivotfix::bench
