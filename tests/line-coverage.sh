#!/bin/sh
# Builds with counters, runs all tests and prints how many lines of src/ they run; fails below 90 %.
# Needs gcovr. Leaves build-coverage/lines.txt with every file and the lines that no test runs.
set -eu
cd "$(dirname "$0")/.."
cmake --preset coverage >/dev/null
cmake --build --preset coverage
find build-coverage -name '*.gcda' -delete
ctest --preset coverage
gcovr --root . --filter 'src/' --exclude-throw-branches --object-directory build-coverage -j 2 \
  --txt build-coverage/lines.txt --fail-under-line 90 build-coverage
tail -n 3 build-coverage/lines.txt
