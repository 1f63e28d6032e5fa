// SPDX-License-Identifier: Apache-2.0
// The whole program as a process of its own: time by the clock, peak memory by the kernel.
#include <fcntl.h>
#include <spawn.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <turbojpeg.h>
#include <unistd.h>

#include <chrono>
#include <fstream>
#include <iterator>
#include <stdexcept>

#include "base/side_by_side.h"
#include "bench/speed_rows.h"

namespace pivotfix::bench {
namespace {

namespace fs = std::filesystem;
using Clock = std::chrono::steady_clock;

double seconds_since(Clock::time_point start) {
  return std::chrono::duration<double>(Clock::now() - start).count();
}

struct ProgramRun {
  double seconds = 0.0;
  double processor_seconds = 0.0;
  double peak_mb = 0.0;
};

ProgramRun run_program(std::vector<std::string> arguments) {
  arguments.insert(arguments.begin(), PIVOTFIX_PROGRAM);
  std::vector<char*> pointers;
  for (std::string& argument : arguments) pointers.push_back(argument.data());
  pointers.push_back(nullptr);
  posix_spawn_file_actions_t silent;
  posix_spawn_file_actions_init(&silent);
  posix_spawn_file_actions_addopen(&silent, STDOUT_FILENO, "/dev/null", O_WRONLY, 0);
  posix_spawn_file_actions_addopen(&silent, STDERR_FILENO, "/dev/null", O_WRONLY, 0);
  const auto start = Clock::now();
  pid_t process = 0;
  if (posix_spawn(&process, PIVOTFIX_PROGRAM, &silent, nullptr, pointers.data(), environ) != 0)
    throw std::runtime_error("cannot start " PIVOTFIX_PROGRAM);
  posix_spawn_file_actions_destroy(&silent);
  int status = 0;
  rusage usage{};
  wait4(process, &status, 0, &usage);
  ProgramRun run;
  run.seconds = seconds_since(start);
  const auto seconds = [](const timeval& time) {
    return static_cast<double>(time.tv_sec) + 1e-6 * static_cast<double>(time.tv_usec);
  };
  run.processor_seconds = seconds(usage.ru_utime) + seconds(usage.ru_stime);
  run.peak_mb = static_cast<double>(usage.ru_maxrss) * 1024.0 / 1e6;
  if (!WIFEXITED(status) || WEXITSTATUS(status) != 0) throw std::runtime_error(arguments.at(1) + " failed");
  return run;
}

void decode(const fs::path& file) {
  std::ifstream stream(file, std::ios::binary);
  const std::vector<unsigned char> bytes{std::istreambuf_iterator<char>(stream), {}};
  const tjhandle decoder = tjInitDecompress();
  int width = 0, height = 0, subsampling = 0, colours = 0;
  tjDecompressHeader3(decoder, bytes.data(), bytes.size(), &width, &height, &subsampling, &colours);
  const std::unique_ptr<unsigned char[]> grey(new unsigned char[static_cast<std::size_t>(width) * height]);
  if (tjDecompress2(decoder, bytes.data(), bytes.size(), grey.get(), width, 0, height, TJPF_GRAY,
                    TJFLAG_ACCURATEDCT) != 0)
    throw std::runtime_error("cannot decode " + file.string());
  benchmark::DoNotOptimize(grey[0]);
  tjDestroy(decoder);
}

double decode_all(const TimedSet& set) {
  const auto start = Clock::now();
  side_by_side(set.photos.size(), cores(), [&](std::size_t i) { decode(set.photos[i].file); });
  return seconds_since(start);
}

fs::path result_folder() {
  const fs::path folder = fs::path(PIVOTFIX_BINARY_DIR) / "speed_bench" / "results";
  fs::create_directories(folder);
  return folder;
}

void measure_locate(benchmark::State& state, const TimedSet& set) {
  for ([[maybe_unused]] auto once : state) {
    const double decoding = decode_all(set);
    const ProgramRun run =
        run_program({"locate", set.job.string(), "--no-cache", "-o", result_folder().string()});
    state.SetIterationTime(run.seconds);
    state.counters["decoding_s"] = decoding;
    state.counters["locate_s"] = run.seconds;
    state.counters["locate_processor_s"] = run.processor_seconds;
    state.counters["times_decoding"] = run.seconds / decoding;
    state.counters["peak_mb"] = run.peak_mb;
  }
}

void measure_program(benchmark::State& state, const std::vector<std::string>& arguments) {
  for ([[maybe_unused]] auto once : state) {
    const ProgramRun run = run_program(arguments);
    state.SetIterationTime(run.seconds);
    state.counters["ms"] = 1e3 * run.seconds;
  }
}

}  // namespace

void add_locate_rows(const TimedSet& set, SpeedTable& table) {
  const std::string name = "locate, " + set.name;
  add_benchmark(name, [&set](benchmark::State& state) { measure_locate(state, set); });
  const std::string begin = set.name + ": ";
  table.add({name, "decoding_s", begin + "only decoding the 32 photos to grey, s"});
  table.add({name, "locate_s", begin + "whole locate, s"});
  table.add({name, "times_decoding", begin + "whole locate over only decoding", 2.0});
  table.add({name, "peak_mb", begin + "peak memory, MB", 120.0 + 60.0 * cores()});
}

void add_many_photos_row(const TimedSet& set, SpeedTable& table) {
  const std::string name = "500 photos, " + set.name;
  const auto measure = [&set](benchmark::State& state) {
    const fs::path folder = fs::path(PIVOTFIX_BINARY_DIR) / "speed_bench" / "many";
    const fs::path job = repeated_photos_job(set, 500, folder);
    for ([[maybe_unused]] auto once : state) {
      const ProgramRun run =
          run_program({"locate", job.string(), "--no-cache", "-o", result_folder().string()});
      state.SetIterationTime(run.seconds);
      state.counters["peak_mb"] = run.peak_mb;
    }
    fs::remove_all(folder);
  };
  add_benchmark(name, measure, 1);
  table.add({name, "peak_mb", set.name + ": peak memory with 500 photos, MB", 120.0 + 60.0 * cores()});
}

void add_start_rows(SpeedTable& table) {
  add_benchmark(
      "help", [](benchmark::State& state) { measure_program(state, {"--help"}); }, 21);
  table.add({"help", "ms", "pivotfix --help, whole process, ms", 50.0});
}

}  // namespace pivotfix::bench
