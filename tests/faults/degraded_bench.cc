// SPDX-License-Identifier: Apache-2.0
// `degraded_bench [JOBS] [FIRST]`: so many simulated jobs, on all cores; prints the table of
// docs/hardening.md and every wrong answer that nothing warned of. Fails with more than one of them in 200
// jobs.
#include <atomic>
#include <cstdio>
#include <cstdlib>
#include <thread>

#include "faults/degraded_jobs.h"

using namespace pivotfix::degraded;

int main(int count, char** arguments) {
  const unsigned jobs = count > 1 ? static_cast<unsigned>(std::atoi(arguments[1])) : 1000;
  const unsigned first = count > 2 ? static_cast<unsigned>(std::atoi(arguments[2])) : 1;
  std::vector<Result> results(jobs);
  std::atomic<unsigned> next{0};
  const auto work = [&] {
    for (unsigned i = next++; i < jobs; i = next++) results[i] = run_job(first + i);
  };
  {
    std::vector<std::jthread> threads;
    for (unsigned i = 0; i < std::max(1U, std::thread::hardware_concurrency()); ++i)
      threads.emplace_back(work);
  }
  std::printf("%s\n", table_of(results).c_str());
  unsigned missed = 0;
  for (unsigned i = 0; i < jobs; ++i) {
    const Result& result = results[i];
    if (std::getenv("PIVOTFIX_SHOW_JOBS"))
      std::printf("%u %d %.2f +- %.2f %s\n", first + i, static_cast<int>(result.end), result.height_error_mm,
                  result.height_sigma_mm, result.says.c_str());
    if (!result.missed()) continue;
    ++missed;
    std::string words;
    for (const std::string& one : result.degradations) words += (words.empty() ? "" : ", ") + one;
    std::printf("job %u: off by %.2f mm, stated %.2f mm (%s)\n", first + i, result.height_error_mm,
                result.height_sigma_mm, words.c_str());
  }
  std::printf("%u of %u jobs are off by more than three standard uncertainties without a warning\n", missed,
              jobs);
  return missed * 200 <= jobs ? EXIT_SUCCESS : EXIT_FAILURE;
}
