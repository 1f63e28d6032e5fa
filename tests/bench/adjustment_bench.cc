// SPDX-License-Identifier: Apache-2.0
// Prints how long the adjustment takes and where the time goes: rows of docs/speed.md. Sightings of the
// sample photos, and of simulated ones; the search for tags is not timed.
#include <benchmark/benchmark.h>

#include "job/job.h"
#include "network/adjustment.h"
#include "network/cross_validation.h"
#include "network/simulated_photos.h"
#include "tags/tags.h"

namespace {

using namespace pivotfix;

NetworkInput simulated(int photos, int tags) {
  simulation::Wishes wishes;
  wishes.photos = photos;
  wishes.tags = tags;
  wishes.principal_shift_px = 2.0;
  wishes.focal_change = 5e-4;
  return simulation::photograph(wishes).input;
}

const NetworkInput& sample() {
  static const NetworkInput input = [] {
    const Job job = read_job(PIVOTFIX_SOURCE_DIR "/samples/club-car/job.toml");
    NetworkInput found;
    found.scale_bars = job.scale_bars;
    found.printed_side_mm = job.tag_side_mm;
    found.other_sides_mm = job.other_sides_mm;
    for (const auto& file : photo_files(job)) {
      const Photo photo = read_photo(file, file.filename().string());
      found.photos.push_back({file.filename().string(), photo.camera, find_tags(photo.picture)});
    }
    return found;
  }();
  return input;
}

double sightings_of(const NetworkInput& input) {
  double count = 0.0;
  for (const PhotoSightings& photo : input.photos) count += static_cast<double>(photo.sightings.size());
  return count;
}

void count_sightings(benchmark::State& state, const NetworkInput& input) {
  state.counters["sightings"] = sightings_of(input);
  state.counters["per_sighting"] = benchmark::Counter(
      sightings_of(input), benchmark::Counter::kIsIterationInvariantRate | benchmark::Counter::kInvert);
}

void whole_sample(benchmark::State& state) {
  NetworkInput input = sample();
  input.threads = static_cast<int>(state.range(0));
  for (auto _ : state) benchmark::DoNotOptimize(adjust_network(input));
  count_sightings(state, sample());
}

void whole(benchmark::State& state) {
  NetworkInput input = simulated(static_cast<int>(state.range(0)), static_cast<int>(state.range(1)));
  input.threads = static_cast<int>(state.range(2));
  for (auto _ : state) benchmark::DoNotOptimize(adjust_network(input));
  count_sightings(state, input);
}

void start(benchmark::State& state) {
  const NetworkInput input = simulated(32, 45);
  for (auto _ : state) benchmark::DoNotOptimize(start_bundle(input));
}

void rounds(benchmark::State& state) {
  const NetworkInput input = simulated(32, 45);
  const StartedBundle started = start_bundle(input);
  for (auto _ : state) benchmark::DoNotOptimize(adjust_in_rounds(started, input));
}

void weights(benchmark::State& state) {
  const NetworkInput input = simulated(32, 45);
  Adjustment done = adjust_in_rounds(start_bundle(input), input);
  for (auto _ : state) weigh_observations(done.started, done.noise_scale);
}

void one_solve(benchmark::State& state) {
  const NetworkInput input = simulated(32, 45);
  StartedBundle started = start_bundle(input);
  weigh_observations(started, 1.0);
  for (auto _ : state) {
    Bundle bundle = started.bundle;
    benchmark::DoNotOptimize(adjust(bundle, {}));
  }
}

void one_covariance(benchmark::State& state) {
  const NetworkInput input = simulated(32, 45);
  const Adjustment done = adjust_in_rounds(start_bundle(input), input);
  for (auto _ : state) benchmark::DoNotOptimize(covariance(done.started.bundle));
}

void odd_against_even(benchmark::State& state) {
  const NetworkInput input = simulated(32, 45);
  const Adjustment done = adjust_in_rounds(start_bundle(input), input);
  for (auto _ : state) benchmark::DoNotOptimize(cross_validate(done.started));
}

void faults_and_words(benchmark::State& state) {
  const NetworkInput input = simulated(32, 45);
  const Adjustment done = adjust_in_rounds(start_bundle(input), input);
  for (auto _ : state) benchmark::DoNotOptimize(describe(done, input));
}

void as_row(benchmark::internal::Benchmark* row) {
  row->Unit(benchmark::kMillisecond)->MeasureProcessCPUTime()->Repetitions(5)->ReportAggregatesOnly();
}

BENCHMARK(whole_sample)->ArgName("threads")->Arg(1)->Arg(2)->Apply(as_row);
BENCHMARK(whole)
    ->ArgNames({"photos", "tags", "threads"})
    ->ArgsProduct({{32}, {45}, {1, 2}})
    ->ArgsProduct({{60}, {120}, {1, 2}})
    ->Apply(as_row);
BENCHMARK(whole)
    ->ArgNames({"photos", "tags", "threads"})
    ->ArgsProduct({{500}, {120}, {1, 2}})
    ->Apply(as_row)
    ->Iterations(1);
BENCHMARK(start)->Apply(as_row);
BENCHMARK(rounds)->Apply(as_row);
BENCHMARK(weights)->Apply(as_row);
BENCHMARK(one_solve)->Apply(as_row);
BENCHMARK(one_covariance)->Apply(as_row);
BENCHMARK(odd_against_even)->Apply(as_row);
BENCHMARK(faults_and_words)->Apply(as_row);

}  // namespace

BENCHMARK_MAIN();
