#!/bin/sh
# Runs all tests under AddressSanitizer and UndefinedBehaviorSanitizer and prints how many lines of src/ they
# run; fails below 90 %. Needs clang-14, libclang-rt-14-dev and llvm-14. Leaves in build-coverage lines.txt with
# every file, and unrun.txt with the lines and branches that no test runs.
set -eu
cd "$(dirname "$0")/.."
cmake --preset coverage >/dev/null
cmake --build --preset coverage
profiles=build-coverage/profiles
rm -rf "$profiles"
LLVM_PROFILE_FILE="$PWD/$profiles/%8m.profraw" ctest --preset coverage
llvm-profdata-14 merge -sparse "$profiles"/*.profraw -o "$profiles/all.profdata"
program=build-coverage/src/cli/pivotfix
objects=$(find build-coverage/tests -type f -perm -u+x \( -name '*_test' -o -name '*_replay' \) |
  sort | sed 's/^/-object /')
# shellcheck disable=SC2086 # words
llvm-cov-14 report "$program" $objects -instr-profile="$profiles/all.profdata" src >build-coverage/lines.txt
# shellcheck disable=SC2086
llvm-cov-14 show "$program" $objects -instr-profile="$profiles/all.profdata" -show-branches=count src |
  grep -E '^/|\|  *0\||: 0[],]' >build-coverage/unrun.txt || true
head -n 1 build-coverage/lines.txt
tail -n 1 build-coverage/lines.txt
tail -n 1 build-coverage/lines.txt | awk '{ sub("%", "", $10); exit $10 < 90 }'
