// SPDX-License-Identifier: Apache-2.0
// The speed table: medians of benchmarks' counters beside their bars.
#pragma once

#include <benchmark/benchmark.h>

#include <limits>
#include <map>
#include <string>
#include <utility>
#include <vector>

namespace pivotfix::bench {

inline constexpr double no_bar = std::numeric_limits<double>::quiet_NaN();

struct SpeedRow {
  std::string benchmark{};
  std::string counter{};
  std::string measure{};
  double at_most = no_bar;
  double at_least = no_bar;
};

// Shows benchmarks as they run and keeps the medians of their counters.
class SpeedTable : public benchmark::ConsoleReporter {
 public:
  SpeedTable() : ConsoleReporter(OO_Tabular) {}

  void add(SpeedRow row) { rows_.push_back(std::move(row)); }
  void ReportRuns(const std::vector<Run>& runs) override;
  // As Markdown; rows of benchmarks that did not run are left out, and counted below. True when there are
  // rows, and all meet their bars.
  bool print() const;

 private:
  std::vector<SpeedRow> rows_{};
  std::map<std::pair<std::string, std::string>, double> medians_{};
};

// Each benchmark does everything once and times it itself; medians are of this many of them.
template <typename Work>
void add_benchmark(const std::string& name, const Work& work, int repetitions = 5) {
  benchmark::RegisterBenchmark(name.c_str(), work)
      ->Iterations(1)
      ->Repetitions(repetitions)
      ->UseManualTime()
      ->Unit(benchmark::kMillisecond)
      ->ReportAggregatesOnly();
}

}  // namespace pivotfix::bench
