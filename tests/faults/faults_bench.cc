// SPDX-License-Identifier: Apache-2.0
// `faults_bench [PART OF A NAME]`: seeds faults into a good photo set, one at a time; prints the table of
// docs/hardening.md. Fails when an answer is wrong and nothing is said, or when something is said of the good
// set.
#include <cstdio>
#include <cstdlib>
#include <string>

#include "faults/seeded_faults.h"

using namespace pivotfix::faults;

int main(int count, char** arguments) {
  std::vector<Found> all;
  int wrong = 0;
  bool good_is_silent = true;
  for (const Fault& fault : all_faults()) {
    if (count > 1 && fault.name.find(arguments[1]) == std::string::npos) continue;
    all.push_back(try_fault(fault));
    wrong += all.back().wrong() && all.back().ending == Ending::plain;
    if (fault.name == "nothing") good_is_silent = all.back().ending == Ending::plain;
    std::fprintf(stderr, "%s\n", fault.name.c_str());
  }
  std::printf("%s\n%zu faults, %d wrong answers without a warning\n", table_of(all).c_str(), all.size(),
              wrong);
  if (!good_is_silent) std::printf("The good set is not silent.\n");
  return wrong == 0 && good_is_silent && !all.empty() ? EXIT_SUCCESS : EXIT_FAILURE;
}
